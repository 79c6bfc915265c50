"""The stack and the conditions line: one wording everywhere."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

from tiles.conditions.facts import Conditions, LayerFacts
from tiles.conditions.line import conditions_line
from tiles.conditions.stack import stack_key, stack_words

FLUX = LayerFacts(7, "Flux L", None, "", "brush", 1, None)
HARBOUR = LayerFacts(12, "Harbour", 3, "24-118", "brush", 3, None)
CONDITIONS = Conditions(
    zone="band 3",
    textured=False,
    layers=(FLUX, HARBOUR),
    body_id=2,
    body="Dune speckled",
    form="three bands",
    firing="F-0231",
    target_order=30,
    reached_number=Decimal("5.80"),
    reached_order=30,
    reached_source="witness",
    atmosphere="oxidation",
    hold_min=10,
    kiln="Oriel",
    shelf=3,
    place="front",
    fired_on=date(2026, 10, 14),
    firing_count=1,
)


def test_the_conditions_line_names_every_condition():
    assert conditions_line(CONDITIONS) == (
        "3 coats Harbour (lot 24-118) brushed over 1 coat Flux L, on Dune speckled; "
        "target cone 6, reached 5.8 (witness cones), oxidation, 10 min hold; "
        "kiln Oriel, shelf 3 front; 14 Oct 2026"
    )


def test_a_target_alone_is_not_called_reached():
    line = conditions_line(replace(CONDITIONS, reached_number=Decimal(6), reached_source="target"))

    assert "target cone 6, oxidation" in line
    assert "reached" not in line


def test_a_refiring_texture_and_a_missing_hold_are_said():
    line = conditions_line(
        replace(CONDITIONS, textured=True, hold_min=0, firing_count=2, shelf=None, place="")
    )

    assert "on Dune speckled, textured;" in line
    assert "no hold; kiln Oriel; firing 2 of this tile;" in line


def test_methods_that_differ_are_each_said_and_a_dip_in_seconds():
    dipped = replace(FLUX, method="dip", coats=None, dip_s=Decimal("2.50"))
    line = conditions_line(replace(CONDITIONS, layers=(dipped, replace(HARBOUR, method="spray"))))

    assert line.startswith("3 coats Harbour (lot 24-118) sprayed over a 2.5 s dip of Flux L, on")


def test_a_stack_is_written_bottom_to_top():
    assert stack_words((FLUX, HARBOUR)) == "Flux L ×1 + Harbour ×3"
    assert stack_words((replace(FLUX, coats=None, dip_s=Decimal(3)),)) == "Flux L dip 3 s"
    assert stack_words(()) == "bare clay"


def test_order_amount_and_method_make_another_stack_but_the_lot_does_not():
    key = stack_key((FLUX, HARBOUR))

    assert stack_key((HARBOUR, FLUX)) != key
    assert stack_key((FLUX, replace(HARBOUR, coats=2))) != key
    assert stack_key((FLUX, replace(HARBOUR, method="spray"))) != key
    assert stack_key((FLUX, replace(HARBOUR, lot="25-001", batch_id=9))) == key
