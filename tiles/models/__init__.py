"""The schema of the tiles floor, read in one sitting."""

from tiles.models.board import Board, BoardSlot
from tiles.models.catalogue import ClayBody, Glaze, GlazeBatch
from tiles.models.change import ResultChange
from tiles.models.coat import CoatLaid
from tiles.models.form import FormZone, TileForm
from tiles.models.laboratory import AbsorptionPiece, AbsorptionTest, LeachFigure, LeachReport
from tiles.models.measure import ColourReading, RunReading
from tiles.models.outcome import CONDITION_FIELDS, Flaw, Outcome, OutcomeQuerySet, StackedLayer
from tiles.models.photo import Photo, PhotoFiling
from tiles.models.place import Place
from tiles.models.printing import Printer, PrintHabit, PrintItem, PrintRun, UsedSheet
from tiles.models.public import PublicPage
from tiles.models.reading import BatchReading
from tiles.models.search import SavedSearch
from tiles.models.series import Series
from tiles.models.standard import StudioStandard
from tiles.models.stock import LabelStock
from tiles.models.tile import Coverage, Layer, Placement, Tile, TileQuerySet, Zone

__all__ = [
    "CONDITION_FIELDS",
    "AbsorptionPiece",
    "AbsorptionTest",
    "BatchReading",
    "Board",
    "BoardSlot",
    "ClayBody",
    "CoatLaid",
    "ColourReading",
    "Coverage",
    "Flaw",
    "FormZone",
    "Glaze",
    "GlazeBatch",
    "LabelStock",
    "Layer",
    "LeachFigure",
    "LeachReport",
    "Outcome",
    "OutcomeQuerySet",
    "Photo",
    "PhotoFiling",
    "Place",
    "Placement",
    "PrintHabit",
    "PrintItem",
    "PrintRun",
    "Printer",
    "PublicPage",
    "ResultChange",
    "RunReading",
    "SavedSearch",
    "Series",
    "StackedLayer",
    "StudioStandard",
    "Tile",
    "TileForm",
    "TileQuerySet",
    "UsedSheet",
    "Zone",
]
