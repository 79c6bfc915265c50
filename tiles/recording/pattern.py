"""One pattern, many tiles: the same recipe on several bodies, for several cones, with rising coats, or plain copies."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from firings.cones import series
from firings.vocabulary import Term
from tiles.recording.grid import Amount, LayerRecipe, Recipe, read_amount

MOST_TILES = 200


class Varying(Term):
    """What differs from tile to tile."""

    NOTHING = "nothing", "nothing"
    BODY = "body", "the body"
    CONE = "cone", "the cone"
    COATS = "coats", "the coats of one layer"


@dataclass(frozen=True, slots=True)
class Pattern:
    """How many tiles to make of one recipe. `copies` is how many of each; `layer` counts from the bottom, 0 first."""

    copies: int = 1
    varying: str = Varying.NOTHING.value
    bodies: tuple[int, ...] = ()
    cones: tuple[int, ...] = ()
    layer: int = 0
    amounts: tuple[Amount, ...] = ()

    @property
    def tile_count(self) -> int:
        """How many tiles come of it."""
        kinds = {
            Varying.BODY.value: len(self.bodies),
            Varying.CONE.value: len(self.cones),
            Varying.COATS.value: len(self.amounts),
        }
        return self.copies * kinds.get(self.varying, 1)


def spread(recipe: Recipe, pattern: Pattern) -> list[Recipe]:
    """The recipes of a pattern's tiles, copies of the same kind side by side.

    >>> plain = Recipe(form_id=1, body_id=1)
    >>> [each.body_id for each in spread(plain, Pattern(2, "body", bodies=(4, 7)))]
    [4, 4, 7, 7]
    """
    return [each for each in _kinds(recipe, pattern) for _ in range(pattern.copies)]


def _kinds(recipe: Recipe, pattern: Pattern) -> list[Recipe]:
    match pattern.varying:
        case Varying.BODY:
            # A lot number belongs to one body; on another it would be false.
            return [
                recipe if body == recipe.body_id else replace(recipe, body_id=body, body_lot="")
                for body in pattern.bodies
            ]
        case Varying.CONE:
            return [replace(recipe, planned_order=order) for order in pattern.cones]
        case Varying.COATS:
            return [with_amount(recipe, pattern.layer, amount) for amount in pattern.amounts]
        case _:
            return [recipe]


def with_amount(recipe: Recipe, layer: int, amount: Amount) -> Recipe:
    """The recipe with one layer laid on that thickly wherever it lies; what was measured of it no longer holds."""
    layers = [
        _laid_on(each, amount) if position == layer else each for position, each in enumerate(recipe.layers)
    ]
    return replace(recipe, layers=tuple(layers))


def _laid_on(layer: LayerRecipe, amount: Amount) -> LayerRecipe:
    covers = {
        zone: cover
        if cover.amount == amount
        else replace(cover, amount=amount, wet_mass_g=None, thickness_mm=None)
        for zone, cover in layer.covers.items()
    }
    return replace(layer, covers=covers)


def numbered(recipes: Sequence[Recipe], numbers: Sequence[int]) -> list[Recipe]:
    """The recipes with the numbers that are incised in their tiles already.

    Raises
    ------
    ValueError : more or fewer numbers than tiles, or one twice
    """
    if not numbers:
        return list(recipes)
    if len(numbers) != len(recipes):
        typed = f"{len(numbers)} {'number' if len(numbers) == 1 else 'numbers'}"
        raise ValueError(f"{typed} for {len(recipes)} tiles: type one for each, or none at all.")
    if len(set(numbers)) != len(numbers):
        raise ValueError("A number stands here twice.")
    return [replace(recipe, number=number) for recipe, number in zip(recipes, numbers, strict=True)]


def _pieces(text: str) -> list[str]:
    """The parts of a list; where a semicolon or a new line parts them, a comma is a decimal comma."""
    parting = r"[;\n]" if re.search(r"[;\n]", text) else ","
    return [piece.strip() for piece in re.split(parting, text) if piece.strip()]


def _ends(piece: str) -> tuple[str, str] | None:
    found = re.fullmatch(r"(.+?)\s*(?:\bto\b|[-–])\s*(.+)", piece)
    return (found[1], found[2]) if found else None


# Cones may have nothing but a space between them; the space of 5 1/2 parts none.
BETWEEN_CONES = re.compile(r"(?<=[\d½])\s+(?!1/2)(?=[\d^δΔ△∆])")


def read_cones(text: str) -> tuple[int, ...]:
    """Cones as people list them, as ranks in the series: "5, 6, 10", "5 6 10", "04 to 1". A range has whole cones only.

    Raises
    ------
    ValueError : a piece is no cone, or a range falls

    >>> [series.label_of(order) for order in read_cones("04, 5½, 6 to 8")]
    ['04', '5½', '6', '7', '8']
    """
    orders = [
        order for piece in _pieces(text) for one in BETWEEN_CONES.split(piece) for order in _cones_of(one)
    ]
    if not orders:
        raise ValueError("Which cones? List them, such as 5, 6, 10.")
    return tuple(dict.fromkeys(orders))


def _cones_of(piece: str) -> Iterable[int]:
    if not (ends := _ends(piece)):
        return [series.order_of(piece)]
    low, high = map(series.order_of, ends)
    if low > high:
        raise ValueError(f"{piece} falls: write the cooler cone first.")
    return [
        order for order in range(low, high + 1) if series.of_order(order).is_whole or order in (low, high)
    ]


def read_amounts(text: str, method: str) -> tuple[Amount, ...]:
    """Rising amounts of one layer: "1, 2, 4", "1 to 4", for a dip "1 s, 2.5 s".

    A comma parts the amounts, so a dip's decimals have a point, or a semicolon parts them: "1,5 s; 2,5 s".

    Raises
    ------
    ValueError : a piece is no amount for this method, or a range falls

    >>> [amount.words for amount in read_amounts("1-3, 5", "brush")]
    ['×1', '×2', '×3', '×5']
    """
    amounts = [amount for piece in _pieces(text) for amount in _amounts_of(piece, method)]
    if not amounts:
        raise ValueError("How many coats? List them, such as 1, 2, 3.")
    return tuple(dict.fromkeys(amounts))


def _amounts_of(piece: str, method: str) -> Iterable[Amount]:
    low, high = (read_amount(end, method) for end in _ends(piece) or (piece, piece))
    if low is None or high is None or low == high:
        return [low] if low else []
    if low.coats is None or high.coats is None:
        raise ValueError("List the seconds one by one, such as 1 s, 2 s, 4 s.")
    if low.coats > high.coats:
        raise ValueError(f"{piece} falls: write the smaller number first.")
    return [Amount(coats=coats) for coats in range(low.coats, high.coats + 1)]
