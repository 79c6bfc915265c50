"""What one cell says: a cone, a day, coats, a stack, a length, a time, a word of a closed list, yes or no.

Each function takes the text of one cell and gives its value, or raises `Misread` with words that say what to write.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from rapidfuzz import fuzz, process

from firings.cones import series
from firings.units import read_figure
from firings.vocabulary import Atmosphere, Term
from studio.importing.reading import bare
from tiles.conditions.line import MONTHS
from tiles.vocabulary import Degree, FlawKind, Method, Opacity, Severity, Surface, Verdict

# How alike two words must be before one is offered for the other, from 0 to 100.
ALIKE = 75
NOTHING = frozenset({"", "-", "–", "—", "n/a", "na", "?", "none noted", "nil"})
YES, NO = ("yes", "y", "true", "1", "x", "✓", "✔"), ("no", "n", "false", "0", "none")
EARLIEST, LATEST = 1950, 2100
MM = {
    "mm": Decimal(1),
    "cm": Decimal(10),
    "in": Decimal("25.4"),
    "inch": Decimal("25.4"),
    "inches": Decimal("25.4"),
}
MM['"'] = MM["″"] = Decimal("25.4")
DAY, MONTH = "day", "month"


class Misread(ValueError):
    """A cell that says nothing one can be sure of; the words say what to write."""


@dataclass(frozen=True, slots=True)
class Amount:
    """How much of a layer: coats, or seconds of a dip; exactly one is given."""

    coats: int | None = None
    dip_s: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Laid:
    """One layer as it is written: a glaze's name, and how much, where that is said."""

    glaze: str
    amount: Amount | None = None


@dataclass(frozen=True, slots=True)
class Fire:
    """A cone's rank, and the atmosphere where the cell says that too, as 10R does."""

    order: int
    atmosphere: str = ""


# Words people write, beside those stored and those on the screen.
ALSO: dict[type[Term], dict[str, str]] = {
    Atmosphere: {"ox": "oxidation", "oxid": "oxidation", "oxidising": "oxidation", "oxidizing": "oxidation",
                 "electric": "oxidation", "o": "oxidation", "red": "reduction", "redn": "reduction",
                 "reducing": "reduction", "r": "reduction", "neut": "neutral", "n": "neutral"},
    Surface: {"gloss": "glossy", "shiny": "glossy", "g": "glossy", "semi gloss": "semi", "semigloss": "semi",
              "semi matt": "satin", "semi matte": "satin", "silky": "satin", "matte": "matt", "mat": "matt"},
    Opacity: {"clear": "transparent", "semi opaque": "translucent", "semi transparent": "translucent"},
    Verdict: {"yes": "keep", "good": "keep", "ok": "keep", "retest": "retest", "again": "retest", "redo": "retest",
              "maybe": "retest", "no": "reject", "bad": "reject", "drop": "reject", "leave": "reject"},
    Degree: {"no": "none", "0": "none", "a little": "slight", "some": "slight", "yes": "slight", "a lot": "marked",
             "much": "marked", "heavy": "marked", "strong": "marked"},
    Severity: {"minor": "slight", "light": "slight", "some": "slight", "bad": "severe", "heavy": "severe",
               "moderate": "marked"},
    Method: {"brush": "brush", "brushing": "brush", "dipping": "dip", "pouring": "pour", "spraying": "spray",
             "trailing": "trail", "sponge": "sponge"},
    FlawKind: {"craze": "crazing", "crazed": "crazing", "shiver": "shivering", "crawl": "crawling",
               "crawled": "crawling", "pinhole": "pinholing", "pinholes": "pinholing", "pinholed": "pinholing",
               "pits": "pitting", "pitted": "pitting", "blister": "blistering", "blisters": "blistering",
               "blistered": "blistering", "craters": "cratering", "dimples": "dimpling", "streaks": "streaking",
               "streaky": "streaking", "scum": "scumming", "under fired": "underfired", "over fired": "overfired",
               "dunt": "dunting", "dunted": "dunting", "bloat": "bloating", "bloats": "bloating"},
}  # fmt: skip


# How much of a flaw a mark alone says; a tick, a cross or yes says that it is there, and no more.
MARKS = {"1": "slight", "2": "marked", "3": "severe", "+": "slight", "++": "marked", "+++": "severe",
         "xx": "marked", "xxx": "severe", "a little": "slight", "a few": "slight", "few": "slight", "little": "slight",
         "many": "marked", "lots": "marked", "a lot": "marked", "much": "marked", "strong": "marked",
         "very": "severe"}  # fmt: skip


def words_for(kind: type[Term], value: str) -> tuple[str, ...]:
    """The words people write for one of a closed list, beside its own.

    >>> words_for(FlawKind, "crazing")
    ('craze', 'crazed')
    """
    return tuple(word for word, meant in ALSO.get(kind, {}).items() if meant == value)


def nearest(word: str, words: Sequence[str]) -> str:
    """The one that was perhaps meant, or "".

    >>> nearest("celadn", ["celadon", "tenmoku"]), nearest("iron", ["celadon", "tenmoku"])
    ('celadon', '')
    """
    found = process.extractOne(word, words, scorer=fuzz.ratio, processor=bare, score_cutoff=ALIKE)
    return str(found[0]) if found else ""


def is_nothing(text: str) -> bool:
    return text.casefold() in NOTHING


def term(kind: type[Term], text: str) -> str:
    """A word of a closed list, in any of the ways it is written.

    >>> term(Surface, "Semi-Gloss"), term(Atmosphere, "ox.")
    ('semi', 'oxidation')
    """
    word = bare(text)
    known = {bare(one.value): one.value for one in kind} | {bare(one.label): one.value for one in kind}
    known |= ALSO.get(kind, {})
    if word in known:
        return known[word]
    labels = [one.label for one in kind]
    near = nearest(text, labels)
    offer = f"Is it “{near}”?" if near else f"Write one of: {', '.join(labels)}."
    raise Misread(f"“{text}” is not known here. {offer}")


def yes_or_no(text: str) -> bool:
    if (word := text.strip().casefold()) in YES:
        return True
    if word in NO:
        return False
    raise Misread(f"“{text}” is neither yes nor no.")


def cone(text: str) -> Fire:
    """A cone as people write it, with the atmosphere some write behind it.

    >>> cone("cone 10R"), cone("∆06").order, cone("5½").order
    (Fire(order=34, atmosphere='reduction'), 17, 29)
    """
    word = re.sub(r"^\s*(cones?|c/?)\.?\s*(?=[\d^∆Δ△0])", "", text.casefold()).strip(" .")
    match = re.fullmatch(r"(.*?[\d½])\s*[,/ ]*\(?(ox\w*|red\w*|r|o|neutral|n)?\.?\)?", word)
    bare_cone, gas = (match[1], match[2] or "") if match else (word, "")
    try:
        order = series.order_of(re.sub(r"\.0$", "", bare_cone))
    except ValueError:
        raise Misread(f"“{text}” is not a cone; write 022 to 01, 1 to 14, 05½ or 5½.") from None
    return Fire(order, term(Atmosphere, gas) if gas else "")


def day(text: str, order: str = "") -> date:
    """A day in any of the ways it is written; `order` tells whether day or month comes first where both could.

    Raises Misread where figures could be two days and no order was told.

    >>> day("2025-10-14"), day("14.10.25"), day("Oct 14, 2025"), day("3/4/2025", DAY)
    (datetime.date(2025, 10, 14), datetime.date(2025, 10, 14), datetime.date(2025, 10, 14), datetime.date(2025, 4, 3))
    """
    word = re.sub(r"[T ]\d{1,2}:\d\d.*$", "", text.strip())
    if match := re.fullmatch(r"(\d{4})[-./ ](\d{1,2})[-./ ](\d{1,2})", word):
        return _day(text, int(match[1]), int(match[2]), int(match[3]))
    if match := re.fullmatch(r"(\d{1,2})[-./ ](\d{1,2})[-./ ](\d{4}|\d{2})", word):
        first, second, year = int(match[1]), int(match[2]), _year(match[3])
        if first > 12 or (first == second and second <= 12):
            return _day(text, year, second, first)
        if second > 12:
            return _day(text, year, first, second)
        if not order:
            raise Misread(f"“{text}” could be two days. Say above whether days or months come first.")
        return _day(text, year, second, first) if order == DAY else _day(text, year, first, second)
    return _worded_day(text, word)


def _worded_day(text: str, word: str) -> date:
    parts = re.findall(r"[^\W\d_]+|\d+", re.sub(r"(\d)(st|nd|rd|th)\b", r"\1", word.casefold()))
    months = [
        place for place, name in enumerate(MONTHS, start=1) for part in parts if part[:3] == name.casefold()
    ]
    figures = [part for part in parts if part.isascii() and part.isdigit()]
    if len(months) == 1 and len(figures) == 2:
        year = next((one for one in figures if len(one) == 4), figures[1])
        rest = figures[0] if year is figures[1] else figures[1]
        return _day(text, _year(year), months[0], int(rest))
    raise Misread(f"“{text}” is not a day; write it like 2025-10-14 or 14 Oct 2025.")


def _year(figures: str) -> int:
    return int(figures) if len(figures) > 2 else 2000 + int(figures)


def _day(text: str, year: int, month: int, of_month: int) -> date:
    try:
        found = date(year, month, of_month)
    except ValueError:
        raise Misread(f"“{text}” is not a day of the calendar; write it like 2025-10-14.") from None
    if not EARLIEST <= year <= LATEST:
        raise Misread(f"“{text}” lies too far away; write the year in full.")
    return found


def order_of_days(texts: Iterable[str]) -> tuple[str, str]:
    """Whether days or months come first in a column, and why; "" where its cells do not tell or disagree.

    >>> order_of_days(["14/10/2025", "3/4/2025"])
    ('day', 'in some cells the first figure is above 12')
    """
    day_first = month_first = False
    for text in texts:
        if match := re.match(r"\s*(\d{1,2})[-./ ](\d{1,2})[-./ ]\d{2,4}\b", text):
            day_first |= int(match[1]) > 12
            month_first |= int(match[2]) > 12
    if day_first and month_first:
        return "", "both orders occur in this file"
    if day_first:
        return DAY, "in some cells the first figure is above 12"
    return (MONTH, "in some cells the second figure is above 12") if month_first else ("", "")


def amount(text: str) -> Amount:
    """How much: 3x, ×3, 3 coats, 3, three, or a dip of some seconds.

    >>> amount("3x"), amount("dip 2,5 s").dip_s
    (Amount(coats=3, dip_s=None), Decimal('2.5'))
    """
    word = text.casefold().strip()
    if match := re.fullmatch(
        r"(?:dip(?:ped)?\s*)?(\d+(?:[.,]\d+)?)\s*(?:s|sec|secs|seconds?)(?:\s*dip)?", word
    ):
        seconds = read_figure(match[1])
        if not 0 < seconds <= 600:
            raise Misread(f"“{text}” is no time of a dip; write up to 600 seconds.")
        return Amount(dip_s=seconds)
    if match := re.fullmatch(r"[x×*]?\s*(\d{1,3})(?:[.,]0+)?\s*(?:[x×*]|coats?|c)?", word):
        count = int(match[1])
    else:
        named = ("one", "two", "three", "four", "five", "six")
        count = next((n for n, name in enumerate(named, start=1) if word.split(" ")[0] == name), 0)
    if not 1 <= count <= 20:
        raise Misread(
            f"“{text}” is no number of coats; write 1 to 20, such as 3 or 3x, or a dip such as 3 s."
        )
    return Amount(coats=count)


def coats_span(text: str) -> tuple[int, int]:
    """The fewest and the most coats a label gives.

    >>> coats_span("Coats 2–3"), coats_span("2 to 3 coats"), coats_span("3c")
    ((2, 3), (2, 3), (3, 3))
    """
    counts = [coats(end) for end in _ends(text, r"coats?|layers?|apply")]
    return _rising(text, counts, "the smaller number of coats")


def cone_span(text: str) -> tuple[int, int]:
    """The ranks of the coolest and the hottest cone of a range.

    >>> cone_span("Cones 5–6") == cone_span("∆5 to ^6") == (28, 30), cone_span("06") == (17, 17)
    (True, True)
    """
    return _rising(text, [cone(end).order for end in _ends(text, r"cones?|range")], "the cooler cone")


def _ends(text: str, unit: str) -> list[str]:
    """The one or two ends of a range, without the words before it."""
    if day_ := re.fullmatch(r"\d{4}-(\d\d)-(\d\d)", text.strip()):
        low, high = sorted(map(int, day_.groups()))
        raise Misread(
            f"“{text}” is a day; spreadsheets make one of a range such as {low}-{high}. "
            f"Write it as {low} to {high}."
        )
    word = re.sub(rf"^\s*(?:{unit})\.?\s*:?\s*(?=\S)", "", text.casefold()).strip()
    if both := re.fullmatch(r"(\d+)\s*/\s*(\d+)", word):
        return list(both.groups())
    ends = re.split(r"\s*(?:[-–—‒−…]|\.\.+|\bto\b|\bor\b|\bthrough\b|\bthru\b|\band\b)\s*", word)
    if len(ends) > 2 or not all(ends):
        raise Misread(f"“{text}” is no range; write it like 2 to 3, or one figure.")
    return ends


def _rising(text: str, ends: list[int], first: str) -> tuple[int, int]:
    if ends[0] > ends[-1]:
        raise Misread(f"“{text}” runs backwards: write {first} first.")
    return ends[0], ends[-1]


_PART = (
    re.compile(r"(?P<glaze>.+?)\s*[x×*]\s*(?P<amount>\d+)"),
    re.compile(r"(?P<amount>\d+)\s*[x×*]\s+(?P<glaze>.+)"),
    re.compile(r"(?P<amount>\d+)\s*coats?\s+(?:of\s+)?(?P<glaze>.+)"),
    re.compile(r"(?P<glaze>.+?)[\s,(]+(?P<amount>\d+\s*(?:[x×]|coats?))\)?"),
    re.compile(r"(?P<glaze>.+?)[\s,(]+(?P<amount>dip(?:ped)?\s*\d+(?:[.,]\d+)?\s*s(?:ec)?)\)?"),
)


def stack(text: str) -> tuple[Laid, ...]:
    """Layers bottom to top: "Flux L x2 + Harbour x3", or top first where it says "over".

    >>> [(one.glaze, one.amount.coats) for one in stack("Harbour x3 over Flux L x2")]
    [('Flux L', 2), ('Harbour', 3)]
    """
    if is_nothing(text):
        return ()
    parts = re.split(r"\s+over\s+", text, flags=re.IGNORECASE)
    if len(parts) > 1:
        parts.reverse()
    else:
        parts = re.split(r"\s*\+\s*|\s+under\s+|\n", text, flags=re.IGNORECASE)
    found = tuple(_layer(part.strip()) for part in parts if part.strip())
    if len(found) > 12:
        raise Misread("More than 12 layers are surely a slip. Write them like Flux L x2 + Harbour x3.")
    return found


def _layer(part: str) -> Laid:
    for pattern in _PART:
        if match := pattern.fullmatch(part):
            return Laid(_name(match["glaze"]), amount(match["amount"]))
    return Laid(_name(part))


def _name(text: str) -> str:
    return " ".join(text.split()).strip(" ,;:")


def minutes(text: str, unit: str = "min") -> int:
    """A time in whole minutes: 10, 10 min, 0:10, 1 h, 1 h 30; a bare figure is in `unit`.

    >>> minutes("1 h 30"), minutes("0:10"), minutes("0,5", "h")
    (90, 10, 30)
    """
    word = text.casefold().strip()
    if bare(word) in ("no", "none", "no hold"):
        return 0
    if match := re.fullmatch(r"(\d{1,3}):([0-5]\d)(?::[0-5]\d)?", word):
        return int(match[1]) * 60 + int(match[2])
    if match := re.fullmatch(
        r"(\d+(?:[.,]\d+)?)\s*(?:h|hr|hrs|hours?)\.?(?:\s*(\d{1,2})\s*(?:m|min|mins|minutes?|')?)?", word
    ):
        return round(read_figure(match[1]) * 60) + int(match[2] or 0)
    if match := re.fullmatch(r"(\d+(?:[.,]\d+)?)\s*(m|min|mins|minutes?|')?\.?", word):
        found = read_figure(match[1])
        return round(found * 60) if unit == "h" and not match[2] else round(found)
    raise Misread(f"“{text}” is no time in minutes or hours; write it like 20 min, 1 h or 1:30.")


def percent(text: str) -> Decimal:
    """A share in percent: 3, 3%, 1,5 per cent.

    >>> percent("3%"), percent("1,5 per cent")
    (Decimal('3'), Decimal('1.5'))
    """
    try:
        return read_figure(re.sub(r"\s*(%|per\s?cent|pct)\.?$", "", text.casefold().strip()))
    except ValueError:
        raise Misread(f"“{text}” is no figure in percent; write it like 1.5 or 3%.") from None


def coats(text: str) -> int:
    """A number of coats: 2, 2 coats, 2c.

    >>> coats("2 coats"), coats("two")
    (2, 2)
    """
    found = amount(text).coats
    if found is None:
        raise Misread(f"“{text}” is no number of coats; write it like 2.")
    return found


def length_mm(text: str, unit: str = "mm") -> Decimal:
    """A length in millimetres; a bare figure is in `unit`.

    >>> length_mm("1/8 in"), length_mm("0,5", "cm"), length_mm("2 mm")
    (Decimal('3.2'), Decimal('5.0'), Decimal('2.0'))
    """
    word = text.casefold().strip()
    if bare(word) in ("no", "none"):
        return Decimal("0.0")
    match = re.fullmatch(r"(.*?)\s*(mm|cm|in|inch|inches|\"|″)?\.?", word)
    told = (match[1], match[2] or unit) if match else (word, unit)
    try:
        whole = re.fullmatch(r"(?:(\d+)\s+)?(\d+)\s*/\s*(\d+)", told[0])
        if whole and int(whole[3]):
            figure = Decimal(whole[1] or 0) + Decimal(whole[2]) / Decimal(whole[3])
        else:
            figure = read_figure(told[0])
    except ValueError:
        raise Misread(f"“{text}” is no length; write it like 2 mm or 1/8 in.") from None
    found = (figure * MM[told[1]]).quantize(Decimal("0.1"))
    if not 0 <= found <= 500:
        raise Misread(f"“{text}” is no run of a glaze; write 0 to 500 mm.")
    return found


def figure_within(text: str, low: int, high: int) -> Decimal:
    """A figure between two bounds."""
    try:
        found = read_figure(re.sub(r"\s*(gu|%)$", "", text.casefold()))
    except ValueError:
        raise Misread(f"“{text}” is not a figure; write it like 1.5 or 1,5.") from None
    if not low <= found <= high:
        raise Misread(f"“{text}” is out of bounds; write {low} to {high}.")
    return found.quantize(Decimal("0.1"))


def degrees_c(text: str, unit: str = "c") -> int:
    """A temperature in whole °C; a bare figure is in `unit`.

    >>> degrees_c("2232 °F"), degrees_c("1222")
    (1222, 1222)
    """
    match = re.fullmatch(r"(.*?)\s*[°º]?\s*([cf])?", text.casefold().strip())
    told = (match[1], match[2] or unit) if match else (text, unit)
    try:
        figure = read_figure(re.sub(r"(?<=\d),(?=\d{3}$)", "", told[0]))
    except ValueError:
        raise Misread(f"“{text}” is no temperature; write it like 1222 °C or 2232 °F.") from None
    found = round((figure - 32) * 5 / 9) if told[1] == "f" else round(figure)
    if not 0 <= found <= 1500:
        raise Misread(f"“{text}” is no temperature of a kiln; write °C or °F behind it.")
    return found


def says_none(text: str) -> bool:
    """Whether a cell says that there is none."""
    return bare(text) in ("", "no", "none", "0")


def flaws(text: str) -> tuple[tuple[str, str], ...]:
    """Flaws with how severe they are, in the list's own order: "slight crazing; pinholes (severe)".

    >>> flaws("Pinholes (severe), slight crazing")
    (('crazing', 'slight'), ('pinholing', 'severe'))
    """
    if says_none(text):
        return ()
    found: dict[str, str] = {}
    for part in re.split(r"[,;/+&\n]|\band\b", text, flags=re.IGNORECASE):
        words = bare(part.replace("(", " ").replace(")", " ")).split()
        if not words:
            continue
        severities = [(place, one) for place, word in enumerate(words) if (one := _severity(word))]
        severity = severities[0][1] if severities else Severity.SLIGHT.value
        rest = " ".join(word for place, word in enumerate(words) if place not in {at for at, _ in severities})
        found[term(FlawKind, rest or part.strip())] = severity
    return tuple((kind, found[kind]) for kind in FlawKind.values() if kind in found)


def flaw(kind: str, text: str) -> str:
    """How severe a flaw is, from a cell of its own column; "" where there is none.

    >>> flaw("crazing", "x"), flaw("crazing", "2"), flaw("crazing", "no"), flaw("crazing", "severe crazing")
    ('slight', 'marked', '', 'severe')
    """
    word = " ".join(text.casefold().split()).strip(" .")
    if says_none(text) and any(map(str.isalnum, text)):
        return ""
    if severity := MARKS.get(word) or _severity(word):
        return severity
    if word in YES:
        return Severity.SLIGHT.value
    try:
        told = dict(flaws(text))
    except Misread:
        told = {}
    if told.keys() == {kind}:
        return told[kind]
    raise Misread(
        f"“{text}” does not say how much {FlawKind.label_of(kind)} there is. Write slight, marked or severe, "
        "or 1, 2 or 3; x where it was not said; nothing where there is none."
    )


def _severity(word: str) -> str:
    known: Mapping[str, str] = {one.value: one.value for one in Severity} | ALSO[Severity]
    return known.get(word, "")
