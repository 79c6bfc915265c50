"""A question in words, "Harbour, brown clay, cone 6, 2 coats": what of it is understood, and what is not.

Names in full come first, so that a glaze may have a figure or a colour in its name; then coats, cone, hold, atmosphere
and the clay's colour; then a beginning of a name or a slip of the pen, where only one name can be meant. What may mean
several is left open, with what it may mean; nothing is taken for anything without being said.
"""

import re
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property
from itertools import takewhile

from rapidfuzz.distance import OSA

from firings.cones import series
from firings.vocabulary import Atmosphere
from tiles.columns.words import slips_allowed
from tiles.vocabulary import ColourFamily, FlawKind

MOST_COATS, LONGEST_HOLD_MIN = 20, 6000
# Shorter beginnings of a name would be taken out of any sentence.
FEWEST_LETTERS = 3
MOST_OFFERED = 8
MOST_TYPED = 200

_TOKEN = re.compile(
    r"\d+\s+1/2|\d+[.,]5(?!\d)|\d+\.\d+|\d+½|\d+(?=[^\W\d_])|\d+|(?:cone|c|x)(?=\d)|[\^δ△∆×+]|[^\W\d_]+(?:['’][^\W\d_]+)?",
    re.IGNORECASE,
)
_FIGURES = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_CONE, _COATS, _MINUTES = (
    {"cone", "c", "^", "δ", "△", "∆"},
    {"coat", "coats"},
    {"min", "mins", "minute", "minutes"},
)
_TIMES, _CLAY = {"x", "×"}, {"clay", "body", "clays", "stoneware", "porcelain"}
_JOINTS = {
    **dict.fromkeys(("over", "atop"), "over"),
    **dict.fromkeys(("under", "beneath", "below"), "under"),
    **dict.fromkeys(("on", "onto"), "on"),
    "+": "plus",
}
_ATMOSPHERES = {
    **dict.fromkeys(("ox", "oxid", "oxidised", "oxidized"), Atmosphere.OXIDATION.value),
    **dict.fromkeys(("redux", "reduced"), Atmosphere.REDUCTION.value),
}
_WITHOUT = {"no", "without"}
# Words of use with food: never passed over, and never answered from what a tile looks like.
_FOOD = "dinnerware drink drinking eat eating lead leach leaches leaching poisonous safe tableware toxic"
_FOOD_WORDS = frozenset(_FOOD.split())
OF_FOOD = (
    "no tile tells whether ware is fit for food; only an accredited laboratory and local rules decide that"
)
OF_FLAWS = "each result says which flaws were seen on it"
_SPECKLED = {"speckled", "speckle", "speckly"}
_FILLING = (
    "a about an and any are at bare be brushed but by can come comes did do does fire fired "
    "firing for from get glaze glazed glazes has have how i if in is it its kiln like long look "
    "looks me my of off one or our out please result results run runs sure tell that the there "
    "these they this tile tiles to up use used want was we what when which will with would you "
    "your"
)
_SAYS_NOTHING = frozenset(_FILLING.split())


# A glaze or a body, by the name of its parameter and its key.
Record = tuple[str, int]


@dataclass(frozen=True, slots=True)
class Clay:
    """A clay body as people name it."""

    name: str
    colour: str = ""
    is_speckled: bool = False


@dataclass(frozen=True)
class Names:
    """What can be named, by key."""

    glazes: Mapping[int, str]
    clays: Mapping[int, Clay]

    @cached_property
    def words(self) -> dict[Record, str]:
        """All names, glazes first."""
        glazes = {("glaze", key): name for key, name in self.glazes.items()}
        return {**glazes, **{("body", key): clay.name for key, clay in self.clays.items()}}

    @cached_property
    def tokens(self) -> dict[Record, list[str]]:
        return {record: tokens_of(name) for record, name in self.words.items()}

    @cached_property
    def by_first(self) -> dict[str, list[Record]]:
        """Records by the first token of their names."""
        found: dict[str, list[Record]] = defaultdict(list)
        for record, tokens in self.tokens.items():
            found[tokens[0] if tokens else ""].append(record)
        return found


@dataclass(frozen=True, slots=True)
class Offer:
    """One thing that words may mean: the parameter it would be, its value, and its name."""

    name: str
    value: str
    words: str


@dataclass(frozen=True, slots=True)
class Open:
    """Words that may mean several things, or none of those there are."""

    typed: str
    why: str
    offers: tuple[Offer, ...] = ()


@dataclass(slots=True)
class Understood:
    """What was asked, as the form takes it; what was read in words of ours; and what is open.

    told : what is to be said of words that are no conditions, with those words
    """

    asked: dict[str, str] = field(default_factory=dict)
    read_as: list[tuple[str, str]] = field(default_factory=list)
    told: dict[str, list[str]] = field(default_factory=dict)
    open: list[Open] = field(default_factory=list)
    joint: str = ""

    def say(self, name: str, value: str, typed: str) -> None:
        """Take a condition, unless another one of its kind was said before."""
        if self.asked.setdefault(name, value) != value:
            self.open.append(Open(typed, "a second one; ask one thing at a time"))


def tokens_of(text: str) -> list[str]:
    """The pieces of a question, in small letters; figures stand apart from what they are glued to.

    >>> tokens_of("Flux L, ^6, 2coats; c5½")
    ['flux', 'l', '^', '6', '2', 'coats', 'c', '5½']
    """
    return _TOKEN.findall(text.lower())


def read_question(text: str, names: Names) -> Understood:
    """What a question in words asks."""
    tokens, found = tokens_of(text), Understood()
    place = 0
    while place < len(tokens):
        rest = tokens[place:]
        taken = _full_name(rest, names, found) or _condition(rest, names, found) or _joint(rest[0], found)
        if not taken and _is_of_food(rest[0]):
            found.told.setdefault(OF_FOOD, []).append(rest[0])
        elif not taken and rest[0] not in _SAYS_NOTHING | _CLAY:
            taken = _part_of_name(rest, names, found)
            if not taken and _is_flaw(rest[0]):
                found.told.setdefault(OF_FLAWS, []).append(rest[0])
            elif not taken:
                found.open.append(Open(rest[0], _why_not(rest[0])))
        place += taken or 1
    if found.joint in ("over", "under"):
        found.open.append(Open(found.joint, "which glaze? Write its name after it"))
    return found


def _is_of_food(token: str) -> bool:
    return token in _FOOD_WORDS or token.startswith("food")


def _is_flaw(token: str) -> bool:
    """Whether a word names a flaw, in whichever form: craze, crawls, pinholes, pitted."""
    return any(token.startswith(kind.removesuffix("ing")) for kind in FlawKind.values())


def _why_not(token: str) -> str:
    if token in _CONE:
        return "which one? Write 6, 06 or 5½ after it"
    if token[0].isdigit() and len(token) <= FEWEST_LETTERS:
        return f"a cone or coats? Write “cone {token}” or “{token} coats”"
    return "no glaze or clay of this name is written down here"


def _full_name(rest: Sequence[str], names: Names, found: Understood) -> int:
    """Take the longest name that stands there in full; how many tokens that is."""
    whole = [
        record
        for record in names.by_first.get(rest[0], ())
        if names.tokens[record] == rest[: len(names.tokens[record])]
    ]
    if not whole:
        return 0
    length = max(len(names.tokens[record]) for record in whole)
    is_clay = found.joint == "on" or (rest[length : length + 1] or [""])[0] in _CLAY
    longest = [record for record in whole if len(names.tokens[record]) == length]
    record = min(longest, key=lambda one: (one[0] == "body") != is_clay)
    _take(record, names, found)
    return length


def _take(record: Record, names: Names, found: Understood) -> None:
    """A named record at the place that the words before it say."""
    (kind, key), name = record, names.words[record]
    join, found.joint = found.joint, ""
    if kind == "body":
        found.say("body", str(key), name)
    elif join in ("over", "under"):
        found.say(join, str(key), name)
    elif "glaze" not in found.asked:
        found.asked["glaze"] = str(key)
    elif found.asked["glaze"] == str(key):
        return
    elif join == "plus" and "over" not in found.asked:
        found.asked.update(glaze=str(key), over=found.asked["glaze"])
    elif join == "on":
        found.say("over", str(key), name)
    else:
        offers = (Offer("over", str(key), f"over {name}"), Offer("under", str(key), f"under {name}"))
        found.open.append(Open(name, "a second glaze: does it lie under or over the first?", offers))


def _joint(token: str, found: Understood) -> int:
    if token not in _JOINTS:
        return 0
    found.joint = _JOINTS[token]
    return 1


def figure_of(token: str) -> int | None:
    """A whole figure as a digit or a word.

    >>> figure_of("2"), figure_of("two"), figure_of("5½")
    (2, 2, None)
    """
    if token in _FIGURES[1:]:
        return _FIGURES.index(token)
    return int(token) if token.isascii() and token.isdigit() and len(token) <= 5 else None


def _condition(rest: Sequence[str], names: Names, found: Understood) -> int:
    """Take coats, cone, hold, atmosphere or a clay's colour; how many tokens that are."""
    first, *more = rest
    after = more[0] if more else ""
    if first in _CONE:
        return _cone(after, found) if after else 0
    if first in Atmosphere.values():
        found.say("atmosphere", first, first)
        return 1
    if first in _ATMOSPHERES:
        found.say("atmosphere", _ATMOSPHERES[first], first)
        found.read_as.append((first, _ATMOSPHERES[first]))
        return 1
    if first == "hold" or (first in _WITHOUT and "hold" in rest[1:3]):
        return _hold_first(rest, found)
    if figure_of(first) is not None and after in _MINUTES:
        _figure("hold", first, LONGEST_HOLD_MIN, "min", found)
        return 3 if more[1:2] == ["hold"] else 2
    if figure_of(first) is not None and after in _COATS | _TIMES:
        _figure("coats", first, MOST_COATS, "coats", found)
        return 2
    if first in _COATS | _TIMES and figure_of(after) is not None:
        _figure("coats", after, MOST_COATS, "coats", found)
        return 2
    return _colour(rest, names, found)


def _cone(typed: str, found: Understood) -> int:
    figure = figure_of(typed) if typed.isalpha() else None
    try:
        order = series.order_of(str(figure) if figure else typed)
    except ValueError as wrong:
        found.open.append(_between_cones(typed) or Open(f"cone {typed}", str(wrong)))
        return 2
    found.say("cone", series.label_of(order), f"cone {typed}")
    return 2


def _between_cones(typed: str) -> Open | None:
    """A decimal cone, with the whole ones it lies between; None where it is none."""
    if not re.fullmatch(r"[1-9]\d?\.\d{1,5}", typed):
        return None
    near = [cone.label for cone in series.cones() if cone.is_whole and abs(cone.number - Decimal(typed)) < 1]
    offers = tuple(Offer("cone", label, f"cone {label}") for label in near)
    return Open(f"cone {typed}", "it is asked for by a whole cone", offers) if offers else None


def _hold_first(rest: Sequence[str], found: Understood) -> int:
    """No hold, without a hold, hold 10 min."""
    if rest[0] == "hold":
        figure = figure_of(rest[1]) if len(rest) > 1 else None
        if figure is None:
            return 0
        _figure("hold", rest[1], LONGEST_HOLD_MIN, "min", found)
        return 3 if rest[2:3] and rest[2] in _MINUTES else 2
    found.say("hold", "0", "no hold")
    return [*rest].index("hold") + 1


def _figure(name: str, typed: str, most: int, unit: str, found: Understood) -> None:
    figure, least = figure_of(typed) or 0, 0 if name == "hold" else 1
    if not least <= figure <= most:
        found.open.append(Open(f"{typed} {unit}", f"write {least} to {most}"))
    else:
        found.say(name, str(figure), f"{figure} {unit}")


def _colour(rest: Sequence[str], names: Names, found: Understood) -> int:
    """Take a clay that is told by its colour: brown clay, speckled body."""
    hues = list(takewhile(lambda token: token in _SPECKLED or token in ColourFamily.values(), rest))
    if not hues or rest[len(hues) : len(hues) + 1] == [] or rest[len(hues)] not in _CLAY:
        return 0
    typed = " ".join(rest[: len(hues) + 1])
    colours, is_speckled = set(hues) - _SPECKLED, bool(set(hues) & _SPECKLED)
    fits = {
        key: clay.name
        for key, clay in names.clays.items()
        if (not colours or clay.colour in colours) and (clay.is_speckled or not is_speckled)
    }
    found.joint = ""
    if len(fits) == 1:
        ((key, name),) = fits.items()
        found.say("body", str(key), typed)
        found.read_as.append((typed, f"{name}, the only one here"))
    else:
        offered = fits or {key: clay.name for key, clay in names.clays.items()}
        why = "more than one clay here is so" if fits else f"no clay here is noted as {' '.join(hues)}"
        found.open.append(Open(typed, why, _offers("body", offered)))
    return len(hues) + 1


def _offers(name: str, records: Mapping[int, str]) -> tuple[Offer, ...]:
    by_name = sorted(records.items(), key=lambda one: one[1].casefold())
    return tuple(Offer(name, str(key), words) for key, words in by_name[:MOST_OFFERED])


def _part_of_name(rest: Sequence[str], names: Names, found: Understood) -> int:
    """Take beginnings of words of one name, or a slip of the pen; how many tokens that are."""
    for is_meant in (_begins, _nearly):
        meant, length = _meant(rest[0], names.tokens, is_meant), 1
        for token in rest[1:]:
            narrower = _meant(token, {record: names.tokens[record] for record in meant}, is_meant)
            if not narrower or token in _SAYS_NOTHING:
                break
            meant, length = narrower, length + 1
        if meant:
            _take_part(" ".join(rest[:length]), meant, names, found)
            return length
    return 0


def _meant(
    typed: str, tokens: Mapping[Record, Sequence[str]], is_meant: Callable[[str, str], bool]
) -> list[Record]:
    return [record for record, words in tokens.items() if any(is_meant(typed, word) for word in words)]


def _begins(typed: str, word: str) -> bool:
    return len(typed) >= FEWEST_LETTERS and word.startswith(typed)


def _nearly(typed: str, word: str) -> bool:
    most = slips_allowed(typed)
    return most > 0 and OSA.distance(typed, word, score_cutoff=most) <= most


def _take_part(typed: str, meant: Sequence[Record], names: Names, found: Understood) -> None:
    if len(meant) == 1:
        _take(meant[0], names, found)
        found.read_as.append((typed, names.words[meant[0]]))
        return
    place = found.joint if found.joint in ("over", "under") else "glaze"
    found.joint = ""
    offers = [
        Offer(place if kind == "glaze" else "body", str(key), names.words[kind, key]) for kind, key in meant
    ]
    offers.sort(key=lambda one: one.words.casefold())
    found.open.append(Open(typed, "this may be more than one", tuple(offers[:MOST_OFFERED])))
