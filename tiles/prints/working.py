"""How sheets to work by are set, held by a clip or a nail: load sheet, clip-board sheet, firing report.

What one sheet alone has stands with it.
"""

from tiles.prints.fit import Type
from tiles.prints.fonts import Typeface

MARGIN_MM = 12.0
TITLE = Type(Typeface.BOLD, 17, 11)
LEAD = Type(Typeface.TEXT, 10, 8)
HEAD = Type(Typeface.BOLD, 11, 8)
STRONG = Type(Typeface.BOLD, 9.5, 7)
FOOT = Type(Typeface.TEXT, 7.5, 6)
