"""The schema of the firings floor, read in one sitting."""

from firings.models.curve import Curve
from firings.models.firing import Firing, FiringNote, FiringQuerySet
from firings.models.kept import (
    LAYING,
    CannotUndo,
    ChangedMeanwhile,
    Kept,
    KeptManager,
    KeptQuerySet,
    StaleEdit,
    User,
    signed,
)
from firings.models.kiln import Kiln, Shelf
from firings.models.programme import Programme, Segment
from firings.models.witness import WitnessCone

__all__ = [
    "LAYING",
    "CannotUndo",
    "ChangedMeanwhile",
    "Curve",
    "Firing",
    "FiringNote",
    "FiringQuerySet",
    "Kept",
    "KeptManager",
    "KeptQuerySet",
    "Kiln",
    "Programme",
    "Segment",
    "Shelf",
    "StaleEdit",
    "User",
    "WitnessCone",
    "signed",
]
