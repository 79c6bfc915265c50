"""What was measured on a printer's ruler page."""

from typing import Any

from firings.forms import KeptForm
from tiles.models import Printer
from tiles.prints.forms import LengthField
from tiles.prints.ruler import Measured

NAMES = {
    "measured_across_mm": "across_mm",
    "measured_down_mm": "down_mm",
    "measured_left_mm": "left_mm",
    "measured_top_mm": "top_mm",
}


class PrinterForm(KeptForm):
    """A printer's name and four distances, in mm or inches."""

    once = ("name",)
    measured_across_mm = LengthField(50, 500, label="A: upper ruler, mm", help_text="150 when it is true")
    measured_down_mm = LengthField(50, 500, label="B: ruler down, mm", help_text="200 when it is true")
    measured_left_mm = LengthField(0, 100, label="C: left edge to mark, mm", help_text="25 when it is true")
    measured_top_mm = LengthField(0, 100, label="D: upper edge to mark, mm", help_text="25 when it is true")

    class Meta:
        model = Printer
        fields = ("name", *NAMES)

    def clean(self) -> dict[str, Any]:
        said = super().clean()
        if not self.errors:
            measured = Measured(**{short: float(said[name]) for name, short in NAMES.items()})
            fields = {short: name for name, short in NAMES.items()}
            for short, trouble in measured.problems():
                self.add_error(fields[short], trouble)
        return said
