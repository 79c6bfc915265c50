"""The studio's printers, and which one a person prints on."""

from firings.models import User
from tiles.models import Printer, PrintHabit
from tiles.prints.ruler import Measured
from tiles.prints.stock import TRUE_PRINTER, Calibration


def all_printers() -> list[Printer]:
    """Every printer that was measured."""
    return list(Printer.objects.all())


def usual_printer(person: User) -> Printer | None:
    """The printer the person printed on last, if it is still in use."""
    habit = PrintHabit.objects.filter(person=person).select_related("printer").first()
    printer = habit.printer if habit else None
    return printer if printer is not None and not printer.is_binned else None


def measured(printer: Printer) -> Measured:
    """What was read off its ruler page."""
    return Measured(
        float(printer.measured_across_mm),
        float(printer.measured_down_mm),
        float(printer.measured_left_mm),
        float(printer.measured_top_mm),
    )


def calibration_of(printer: Printer | None) -> Calibration:
    """What makes a printer print true; nothing for one that was not measured."""
    return measured(printer).calibration if printer is not None else TRUE_PRINTER
