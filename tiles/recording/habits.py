"""What a recorder used last: the start of the next form. A plain dict, kept in the session."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from tiles.recording.grid import Recipe, TypedLayer
from tiles.vocabulary import Method

# So many pages sent are remembered, to tell a page sent twice from a new one.
PAGES_REMEMBERED = 30


def after(habits: Mapping[str, Any], recipe: Recipe) -> dict[str, Any]:
    """The habits once a recipe was used: its form, body, series; method and tool of its top layer; each glaze's lot."""
    lots = dict(habits.get("lots", {}))
    lots |= {str(layer.glaze_id): layer.batch_id for layer in recipe.layers if layer.batch_id}
    used = {
        "form": recipe.form_id,
        "body": recipe.body_id,
        "body_lot": recipe.body_lot,
        "series": recipe.series_id,
        "lots": lots,
    }
    if recipe.layers:
        used |= {"method": recipe.layers[-1].method, "tool": recipe.layers[-1].tool}
    return {**habits, **used}


def blank_layer(habits: Mapping[str, Any], key: str) -> TypedLayer:
    """A new row as this recorder is likely to want it.

    >>> blank_layer({"method": "dip"}, "n1").method
    'dip'
    """
    method = habits.get("method", Method.BRUSH.value)
    return TypedLayer(
        key, method=method if method in Method.values() else Method.BRUSH.value, tool=habits.get("tool", "")
    )


def pages_after(sent: Mapping[str, Sequence[int]], page: str, numbers: Iterable[int]) -> dict[str, list[int]]:
    """Which pages were sent and the tiles they made, the last ones only; a page without a mark is not remembered.

    >>> pages_after({}, "k3", [1042])
    {'k3': [1042]}
    """
    kept = {**{mark: list(made) for mark, made in sent.items()}, **({page: list(numbers)} if page else {})}
    return dict(list(kept.items())[-PAGES_REMEMBERED:])
