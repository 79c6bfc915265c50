"""The demo studio's series: each asks one question of its tiles."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import product

from studio.demo.story import Draft, LayerStory, SeriesStory

BANDS, STRIP, L_TILE, SMALL = "Three-band tile", "Four-band strip", "L tile", "Small flat tile"
# Coats on each zone of a form when a glaze goes on in rising numbers, and one even coat of something under or over it.
RISING: dict[str, dict[str, float]] = {
    BANDS: {"texture": 2, "band 1": 1, "band 2": 2, "band 3": 3, "back": 3},
    STRIP: {"band 1": 1, "band 2": 2, "band 3": 3, "band 4": 4, "texture": 2},
    L_TILE: {"upper": 2, "lower": 3, "foot": 3, "back": 2},
    SMALL: {"face": 3, "back": 2},
}


def rising(glaze: str, form: str, lot: str = "") -> LayerStory:
    """A glaze in rising numbers of coats."""
    return LayerStory(glaze, RISING[form], lot=lot)


def even(glaze: str, form: str, coats: float, method: str = "brush") -> LayerStory:
    """The same on every zone."""
    return LayerStory(glaze, dict.fromkeys(RISING[form], coats), method)


def each(
    bodies: Iterable[str],
    stacks: Iterable[tuple[LayerStory, ...]],
    firings: Iterable[int],
    form: str,
    relief: str = "lines",
) -> Iterator[Draft]:
    """One tile for every body, stack and firing."""
    for firing, body, stack in product(firings, bodies, list(stacks)):
        yield Draft(form, body, stack, (firing,), relief)  # type: ignore[arg-type]


def harbour_on_bodies() -> SeriesStory:
    stack = (rising("Harbour", BANDS, "24-118"),)
    bodies = ("Porch White", "Dune", "Tern", "Cellar")
    return SeriesStory(
        "Harbour on four bodies",
        "How does Harbour change from cone 5 to cone 6, and what does the hold do to it on each body?",
        1,
        tuple(each(bodies, (stack,), (3, 4, 4, 5), BANDS)),
    )


def whites() -> SeriesStory:
    stacks = tuple((rising(glaze, BANDS),) for glaze in ("Lintel White", "Thaw"))
    return SeriesStory(
        "Whites that break",
        "Which white breaks best over a cut texture, and on which clay?",
        2,
        tuple(each(("Porch White", "Dune", "Cellar"), stacks, (4, 5), BANDS, "net")),
    )


def under_and_over() -> SeriesStory:
    flux = even("Flux L", L_TILE, 1)
    flux = replace(flux, zones={"upper": 1, "lower": 1})
    tops = [rising(glaze, L_TILE) for glaze in ("Harbour", "Thaw", "Slate Wing")]
    stacks = [stack for top in tops for stack in ((top,), (flux, top), (top, flux))]
    return SeriesStory(
        "Flux L under and over",
        "How far does one coat of Flux L make three glazes run, and does it matter whether it lies under or over?",
        1,
        tuple(each(("Porch White", "Dune"), stacks, (5,), L_TILE)),
        note="All of them on cookies.",
    )


def old_kettle() -> SeriesStory:
    stack = ((rising("Old Kettle", BANDS),),)
    pairs = (("Tern", (3, 4, 8, 9, 10)), ("Porch White", (3, 4, 10)), ("Loft", (8, 9)))
    drafts = (draft for body, firings in pairs for draft in each((body,), stack, firings, BANDS, "comb"))
    return SeriesStory(
        "Old Kettle from cone 5 to 10",
        "Over how many cones is Old Kettle good, and where is it best?",
        2,
        tuple(drafts),
    )


def moss_ledger() -> SeriesStory:
    stack = ((rising("Moss Ledger", BANDS),),)
    return SeriesStory(
        "Moss Ledger: matt or merely raw",
        "Is it a true matt at cone 6, or only underfired? It should stay matt when it is held.",
        1,
        tuple(each(("Porch White", "Dune"), stack, (3, 4, 5, 14), BANDS)),
    )


def low_fire() -> SeriesStory:
    engobe = even("Chalk Road", SMALL, 1)
    glazes = ("Honey Sill", "Low Tide")
    red = [
        stack
        for glaze in glazes
        for top in (even(glaze, SMALL, 2), even(glaze, SMALL, 3))
        for stack in ((top,), (engobe, top))
    ]
    white = [(even(glaze, SMALL, 3),) for glaze in glazes]
    drafts = (*each(("Barn Red",), red, (6,), SMALL), *each(("Porch White",), white, (6,), SMALL))
    return SeriesStory(
        "Two for earthenware",
        "Does a coat of Chalk Road keep the red clay from eating the colour?",
        2,
        drafts,
    )


def rain_jar() -> SeriesStory:
    stack = ((rising("Rain Jar", STRIP),),)
    pairs = (("Loft", (8, 9, 10)), ("Tern", (5, 8, 9, 10)), ("Dune", (5, 10)))
    drafts = (draft for body, firings in pairs for draft in each((body,), stack, firings, STRIP, "stamp"))
    return SeriesStory(
        "Rain Jar: straw or jade", "What turns it green: reduction, the cone, or the clay?", 1, tuple(drafts)
    )


def ember_plum() -> SeriesStory:
    stack = ((rising("Ember Plum", STRIP),),)
    drafts = each(("Loft", "Tern"), stack, (8, 8, 9, 9, 10), STRIP, "stamp")
    return SeriesStory(
        "Where does the red live",
        "How many coats of Ember Plum are red, how many run off, and does the hold bleach it?",
        2,
        tuple(drafts),
    )


def clear_over_ink() -> SeriesStory:
    inks = [even("Ink Line", SMALL, coats) for coats in (1, 2)]
    stacks = [
        (ink, *over)
        for ink in inks
        for over in ((), (even("Still Water", SMALL, 2),), (even("Still Water", SMALL, 3),))
    ]
    return SeriesStory(
        "Clear over Ink Line",
        "Does the clear take the blue, and does it cloud over two coats?",
        1,
        tuple(each(("Porch White", "Dune"), stacks, (11,), SMALL)),
    )


def ways_of_laying_on() -> SeriesStory:
    amounts = (("brush", 3.0), ("dip", 2.0), ("dip", 4.0), ("spray", 3.0), ("pour", 2.0), ("sponge", 3.0))
    stacks = [(even("Slate Wing", L_TILE, amount, method),) for method, amount in amounts]
    return SeriesStory(
        "Six ways to lay on Slate Wing",
        "Which way gives the evenest coat: brush, dip, gun, jug or sponge?",
        2,
        tuple(each(("Porch White", "Tern"), stacks, (11,), L_TILE)),
    )


def two_lots() -> SeriesStory:
    lots = [(replace(rising("Harbour", BANDS, lot), weighed=True),) for lot in ("24-118", "25-031")]
    drafts = each(("Porch White",), lots, (11, 11, 11, 14, 14), BANDS)
    return SeriesStory(
        "Is lot 25-031 the same Harbour",
        "The new lot pours thinner. Same blue, same run? Weighed before and after each coat.",
        1,
        tuple(drafts),
    )


def does_the_hold_cure_it() -> SeriesStory:
    stacks = [(rising(glaze, BANDS),) for glaze in ("Harbour", "Thaw", "Lintel White", "Slate Wing")]
    return SeriesStory(
        "Does the hold cure Cellar",
        "Cellar pinholes. Fifteen minutes at the top: enough?",
        2,
        tuple(each(("Cellar", "Dune"), stacks, (14,), BANDS)),
    )


def bark_in_texture() -> SeriesStory:
    bark = LayerStory("Bark", {"texture": 1})
    tops = [
        (bark, *over)
        for over in ((), *((rising(glaze, BANDS),) for glaze in ("Lintel White", "Still Water", "Rain Jar")))
    ]
    return SeriesStory(
        "Bark in the texture",
        "Does the wash stay put under a glaze, or does it bleed?",
        1,
        tuple(each(("Porch White", "Tern"), tops, (14,), BANDS, "stamp")),
    )


def one_over_the_other() -> SeriesStory:
    harbour, thaw = even("Harbour", L_TILE, 2), even("Thaw", L_TILE, 2)
    return SeriesStory(
        "Harbour and Thaw, one over the other",
        "Which goes on first?",
        2,
        tuple(
            each(("Porch White", "Dune", "Tern", "Cellar"), ((harbour, thaw), (thaw, harbour)), (14,), L_TILE)
        ),
    )


def low_fire_held() -> SeriesStory:
    stacks = [(even(glaze, SMALL, coats),) for glaze in ("Honey Sill", "Low Tide") for coats in (1, 2, 3)]
    return SeriesStory(
        "Low Tide and Honey Sill, held",
        "Five minutes at the top: fewer pinholes on red?",
        1,
        tuple(each(("Barn Red",), stacks, (13,), SMALL)),
    )


def third_reduction() -> SeriesStory:
    plum, jar, kettle = ((rising(glaze, STRIP),) for glaze in ("Ember Plum", "Rain Jar", "Old Kettle"))
    drafts = [
        *each(("Loft", "Tern"), (plum,), (15, 15, 15), STRIP, "stamp"),
        *each(("Loft", "Tern"), (jar, kettle), (15, 15), STRIP, "stamp"),
    ]
    return SeriesStory(
        "Bellows, shelf by shelf",
        "The same three glazes on every shelf: how uneven is the gas kiln?",
        1,
        tuple(drafts),
        "firing",
    )


def cone_five_held() -> SeriesStory:
    stacks = [
        (replace(rising(glaze, BANDS), weighed=True),) for glaze in ("Slate Wing", "Lintel White", "Thaw")
    ]
    return SeriesStory(
        "Cone 5 with a hold",
        "Can we save a cone by holding ten minutes?",
        2,
        tuple(each(("Porch White", "Dune", "Cellar"), stacks, (16,), BANDS, "comb")),
        "firing",
    )


def thaw_thinner() -> SeriesStory:
    coats = LayerStory("Thaw", {"band 1": 1, "band 2": 2, "band 3": 3})
    drafts = (
        Draft(BANDS, body, layers, (), is_glazed=is_glazed)
        for body in ("Dune", "Tern")
        for layers, is_glazed in (((coats,), True), ((coats,), False), ((), False))
    )
    return SeriesStory(
        "Thaw, thinner",
        "Does Thaw stop crawling when the fourth coat is left off?",
        1,
        tuple(drafts),
        "glazing",
    )


def all_series() -> tuple[SeriesStory, ...]:
    """In the order in which they were begun."""
    begun = (
        harbour_on_bodies, whites, old_kettle, moss_ledger, under_and_over, low_fire, rain_jar, ember_plum,
        clear_over_ink, ways_of_laying_on, two_lots, low_fire_held, does_the_hold_cure_it, bark_in_texture,
        one_over_the_other, third_reduction, cone_five_held, thaw_thinner,
    )  # fmt: skip
    return tuple(begin() for begin in begun)
