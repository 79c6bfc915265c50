"""What a print will come to, told before it is printed: how many pages, a first look, what will not fit."""

from collections.abc import Sequence
from dataclasses import dataclass

from firings.words import counted
from tiles.prints import cards, labels
from tiles.prints.cards import CardFacts, CardJob
from tiles.prints.labels import LabelFacts, LabelJob
from tiles.prints.marks import Note, gathered
from tiles.prints.picture import Drawing, Sheet, drawing_of, sheet_picture
from tiles.prints.stock import sheets_for


@dataclass(frozen=True, slots=True)
class Outlook:
    """Words for how much it is, the first card or label drawn, the sheet to begin on, and notes on what is amiss."""

    amount: str
    sample: Drawing | None = None
    sheet: Sheet | None = None
    notes: tuple[Note, ...] = ()


def of_cards(facts: Sequence[CardFacts], job: CardJob) -> Outlook:
    """Of cards. No photograph is opened."""
    if not facts:
        return Outlook("")
    pages = cards.sheet_of(job).sheets(len(facts))
    return Outlook(
        amount=f"{counted(len(facts), 'card')} on {counted(pages, 'page')}",
        sample=drawing_of(cards.lay_out(facts[0], cards.SIZES[job.size])),
        notes=tuple(gathered(cards.notes_on(facts, job))),
    )


def of_labels(facts: Sequence[LabelFacts], job: LabelJob) -> Outlook:
    """Of labels."""
    stock = job.stock
    is_roll = stock.labels_per_sheet == 1
    sheets = sheets_for(stock, len(facts), job.start_cell, job.used)
    amount = counted(len(facts), "label")
    look = labels.look_of(facts, stock, with_code=job.codes)
    return Outlook(
        amount=f"{amount} from the roll" if is_roll else f"{amount} on {counted(sheets, 'sheet')}",
        sample=drawing_of(labels.lay_out(facts[0], stock, with_code=job.codes, look=look)) if facts else None,
        sheet=None if is_roll else sheet_picture(stock, job.start_cell, len(facts), job.used),
        notes=tuple(gathered(labels.notes_on(facts, job, look))),
    )
