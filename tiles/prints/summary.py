"""Several zones' conditions and stacks said once, with nothing left out that differs."""

from collections.abc import Iterable, Sequence
from decimal import Decimal
from itertools import groupby, takewhile

from tiles.conditions import stack
from tiles.conditions.facts import LayerFacts

CLAUSE = "; "
BETWEEN = " · "


def conditions_words(zones: Sequence[tuple[str, str]]) -> str:
    """The conditions lines of a tile's zones in one paragraph, each clause word for word.

    Where all zones share one line it stands as it is. Otherwise each zone is followed by what is its own, and the
    clauses all lines end with come last, once; joined again they are the zone's line.

    >>> conditions_words([("band 1", "1 coat Harbour; cone 6"), ("band 2", "2 coats Harbour; cone 6")])
    'band 1: 1 coat Harbour · band 2: 2 coats Harbour · all: cone 6'
    """
    lines = {line for _, line in zones}
    if len(lines) <= 1:
        return "".join(lines)
    shared = _shared_ending([line.split(CLAUSE) for line in lines])
    own = _grouped((zone, CLAUSE.join(line.split(CLAUSE)[: -len(shared) or None])) for zone, line in zones)
    parts = [f"{', '.join(names)}: {words}" for words, names in own.items()]
    return BETWEEN.join([*parts, f"all: {CLAUSE.join(shared)}"] if shared else parts)


def stacks_words(stacks: Iterable[Sequence[LayerFacts]]) -> str:
    """The stacks of a tile's zones in few words, amounts that differ as a range; each order of glazes once.

    ``Harbour ×1–3; Flux L ×1 + Harbour ×3``
    """
    by_glazes: dict[tuple[tuple[int, bool], ...], list[Sequence[LayerFacts]]] = {}
    for layers in stacks:
        glazes = tuple((layer.glaze_id, layer.dip_s is None) for layer in layers)
        by_glazes.setdefault(glazes, []).append(layers)
    return CLAUSE.join(_ranged(alike) for alike in by_glazes.values())


def _grouped(pairs: Iterable[tuple[str, str]]) -> dict[str, list[str]]:
    """Names by what is said of them, in order of first saying."""
    grouped: dict[str, list[str]] = {}
    for name, words in pairs:
        grouped.setdefault(words, []).append(name)
    return grouped


def _shared_ending(lines: Sequence[Sequence[str]]) -> list[str]:
    """The clauses that all lines end with; each keeps at least one clause of its own."""
    backwards = zip(*(reversed(line[1:]) for line in lines), strict=False)
    shared = [clauses[0] for clauses in takewhile(lambda clauses: len(set(clauses)) == 1, backwards)]
    return shared[::-1]


def _ranged(alike: Sequence[Sequence[LayerFacts]]) -> str:
    """Stacks of the same glazes as one, such as ``Flux L ×1 + Harbour ×1–3``."""
    layers = zip(*alike, strict=True)
    return " + ".join(f"{same[0].glaze} {_amounts(same)}" for same in layers) or stack.BARE


def _amounts(layers: Sequence[LayerFacts]) -> str:
    """×2, ×1–3, dip 2–4.5 s; amounts that leave out one between are listed."""
    if layers[0].dip_s is None:
        coats = sorted({layer.coats or 0 for layer in layers})
        return f"×{','.join(_runs(coats))}"
    seconds = sorted({layer.dip_s or Decimal(0) for layer in layers})
    ends = dict.fromkeys(f"{end.normalize():f}" for end in (seconds[0], seconds[-1]))
    return f"dip {'–'.join(ends)} s"


def _runs(figures: Sequence[int]) -> list[str]:
    """Whole figures with neighbours joined: 1, 2, 3, 5 reads 1–3 and 5."""
    runs = groupby(enumerate(figures), lambda pair: pair[1] - pair[0])
    ends = [[figure for _, figure in run] for _, run in runs]
    return [f"{run[0]}" if len(run) == 1 else f"{run[0]}–{run[-1]}" for run in ends]
