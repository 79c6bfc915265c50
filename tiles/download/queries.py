"""Results as rows, read in slices, so that a download of any size needs the memory of one slice."""

from collections.abc import Iterator, Sequence

from tiles.conditions.queries import conditions_of
from tiles.download.rows import Row, row_of
from tiles.models import Outcome
from tiles.photos.renditions import Size
from tiles.search.counting.queries import keys_in_view
from tiles.search.filters import ResultsFilter
from tiles.search.groups import title_of
from tiles.search.queries import photos_of
from tiles.templatetags.photos import at

AT_ONCE = 500
ALL = 1_000_000_000


def problems_of(asked: ResultsFilter) -> list[str]:
    """What could not be read of a search. The page leaves such a filter out and says so; a download must not."""
    return [f"{title_of(name)}: {' '.join(errors)}" for name, errors in asked.form.errors.items()]


def rows_in_order(asked: ResultsFilter, keys: Sequence[int] | None = None) -> Iterator[Row]:
    """Everything a search finds, in its order, or the results of these keys in theirs."""
    keys = keys_in_view(asked, 0, ALL) if keys is None else keys
    for start in range(0, len(keys), AT_ONCE):
        yield from rows_of(keys[start : start + AT_ONCE])


def rows_of(keys: Sequence[int]) -> list[Row]:
    """The results of these keys, as rows; a constant number of queries."""
    found = Outcome.objects.for_display().select_related("zone__form_zone").in_bulk(keys)
    outcomes = [found[key] for key in keys if key in found]
    photos = photos_of(outcomes)
    return [row_of(outcome, conditions_of(outcome), _address(photos.get(outcome.pk))) for outcome in outcomes]


def _address(photo: object) -> str:
    return at(photo, Size.LARGE.value).partition("?")[0] if photo else ""  # type: ignore[arg-type]
