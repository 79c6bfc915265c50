"""Closed lists of the studio itself: what is stored, and the words on screen."""

from firings.vocabulary import Term


class TemperatureUnit(Term):
    CELSIUS = "C", "°C"
    FAHRENHEIT = "F", "°F"


class LengthUnit(Term):
    MILLIMETRE = "mm", "mm"
    INCH = "in", "inches"


class Paper(Term):
    A4 = "A4", "A4"
    LETTER = "Letter", "US Letter"


class Theme(Term):
    DEVICE = "device", "as my device"
    LIGHT = "light", "light"
    DARK = "dark", "dark"


class LinkPurpose(Term):
    """What a one-time link is for."""

    SIGN_IN = "sign_in", "sign in"
    INVITATION = "invitation", "invitation"
    NEW_PASSWORD = "new_password", "new password"


class ImportState(Term):
    """How far a spreadsheet has come."""

    OPEN = "open", "being looked at"
    WORKING = "working", "under way"
    KEPT = "kept", "in the logbook"
    UNDONE = "undone", "undone"
