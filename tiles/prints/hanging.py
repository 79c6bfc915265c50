"""How sheets to hang or to keep are set: range sheet, board map, and the last line of an answer.

What one sheet alone has stands with it.
"""

from tiles.prints.fit import Type
from tiles.prints.fonts import Typeface

# Narrower than a sheet to work by: pictures want the room, and nothing is clipped over them.
MARGIN_MM = 10.0
TITLE = Type(Typeface.BOLD, 22, 12)
LEAD = Type(Typeface.TEXT, 9.5, 7)
FOOT = Type(Typeface.TEXT, 7, 5.5)
