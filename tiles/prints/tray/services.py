"""Putting things into a person's print tray, in order, and out of it."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import timedelta

from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from firings.models import User
from firings.preferences import Preferences
from tiles.models import PrintItem, UsedSheet
from tiles.prints.kinds import Asked, Kind, kind_named
from tiles.prints.own.queries import LABELS, stock_key_of
from tiles.prints.queries import selection, stock_named, used_cells
from tiles.prints.tray.queries import Part

# A line of more would be slow to print in one go, and slower to look over.
MOST_KEYS = 5000
TITLE_LENGTH = 300
# How long a line that was taken out can be put back.
KEPT_FOR = timedelta(days=7)


@transaction.atomic
def add_to_tray(
    person: User,
    kind: str,
    keys: Sequence[object],
    options: Mapping[str, str] | None = None,
    *,
    own_line: bool = False,
) -> PrintItem:
    """Put something to print into the person's tray, behind what is there.

    keys : tile labels for "cards" and "labels", firing numbers for "firing-report", primary keys for others. Of a kind
        whose keys are printed together they go to the last line of the same kind and options.
    own_line : never to a line that is there already, so that thousands of keys come out again as one line

    Raises LookupError with a sentence for people when there is no such kind, or nothing of these keys.
    """
    shown, named, said = kind_named(kind), [str(key) for key in keys], dict(options or {})
    tray = PrintItem.objects.select_for_update().filter(person=person, taken_out_at=None)
    before = tray.filter(kind=kind).last() if shown.joins and not own_line else None
    if before is not None and before.options == said:
        named = list(dict.fromkeys([*before.keys, *named]))
    if len(named) > MOST_KEYS:
        raise LookupError(f"One line of the print tray holds {MOST_KEYS} at most. Print this in parts.")
    if before is not None and before.options == said:
        _set_keys(before, named)
        return before
    title = _title(shown, named, said, person)
    last = tray.aggregate(last=Max("position"))["last"] or 0
    return PrintItem.objects.create(
        person=person, kind=kind, keys=named, options=said, title=title, position=last + 1
    )


@transaction.atomic
def take_out(item: PrintItem, keys: Sequence[str] = ()) -> None:
    """Out of the tray, or only some of the line's keys; `put_back` undoes it for a week."""
    left = [key for key in item.keys if key not in keys] if keys else []
    if left:
        _set_keys(item, left)
    else:
        item.taken_out_at = timezone.now()
        item.save(update_fields=["taken_out_at"])


@transaction.atomic
def put_back(item: PrintItem, keys: Sequence[str] = ()) -> None:
    """Where it was before, with keys that were taken out of it."""
    item.taken_out_at = None
    item.save(update_fields=["taken_out_at"])
    if more := [key for key in keys if key not in item.keys]:
        _set_keys(item, [*item.keys, *more][:MOST_KEYS])


def _set_keys(item: PrintItem, keys: Sequence[str]) -> None:
    item.keys = list(keys)
    item.title = _title(kind_named(item.kind), item.keys, item.options, item.person)
    item.save(update_fields=["keys", "title"])


def _title(kind: Kind, keys: Sequence[str], options: Mapping[str, str], person: User) -> str:
    asked = Asked(tuple(keys), options, Preferences(), for_paper=False, person=person)
    return kind.says(asked)[:TITLE_LENGTH]


@transaction.atomic
def move(item: PrintItem, *, places: int) -> None:
    """So many places towards the end, or towards the front where negative."""
    order = list(PrintItem.objects.select_for_update().filter(person=item.person_id, taken_out_at=None))
    at = next(index for index, line in enumerate(order) if line.pk == item.pk)
    order.insert(max(0, min(len(order) - 1, at + places)), order.pop(at))
    for position, line in enumerate(order, start=1):
        line.position = position
    PrintItem.objects.bulk_update(order, ["position"])


def choose_options(item: PrintItem, options: Mapping[str, str]) -> None:
    """How this line is printed."""
    item.options = {**item.options, **options}
    item.save(update_fields=["options"])


@transaction.atomic
def empty(person: User) -> list[int]:
    """All lines out; returns their keys, so that they can be put back together."""
    lines = list(PrintItem.objects.select_for_update().filter(person=person, taken_out_at=None))
    PrintItem.objects.filter(pk__in=[line.pk for line in lines]).update(taken_out_at=timezone.now())
    return [line.pk for line in lines]


def put_all_back(person: User, pks: Sequence[int]) -> int:
    """What `empty` took out, or some of it; how many."""
    return PrintItem.objects.filter(person=person, pk__in=pks).update(taken_out_at=None)


def forget_taken_out() -> int:
    """Delete lines that were taken out long ago; how many."""
    gone, _ = PrintItem.objects.filter(taken_out_at__lt=timezone.now() - KEPT_FOR).delete()
    return gone


@transaction.atomic
def use_up_labels(parts: Iterable[Part], person: User) -> None:
    """The labels that were printed are gone from the person's sheets; after a sheet comes a new one."""
    for part in parts:
        if part.kind.name == LABELS.name and part.pages:
            key = stock_key_of(part.asked)
            use_up(person, key, len(selection(" ".join(part.asked.keys)).tiles))


def use_up(person: User, stock_key: str, count: int) -> None:
    """The next free labels of the person's sheet are gone."""
    stock = stock_named(stock_key)
    used = set(used_cells(person, stock_key))
    free = [cell for cell in range(1, stock.labels_per_sheet + 1) if cell not in used]
    gone = (
        [*used, *free[:count]]
        if count < len(free)
        else range(1, (count - len(free)) % stock.labels_per_sheet + 1)
    )
    keep_used(person, stock_key, gone)


def keep_used(person: User, stock_key: str, cells: Iterable[int]) -> None:
    """Remember which labels are gone from the person's sheet."""
    UsedSheet.objects.update_or_create(
        person=person, stock_key=stock_key, defaults={"used": sorted(set(cells))}
    )
