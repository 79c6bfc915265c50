"""Results are found by the cone aimed at or by the cone the ware saw, however that is known; the page says which."""

from decimal import Decimal

import pytest
from django.test import Client

from firings import listeners
from firings.cones import series
from firings.curves.services import let_count, recompute, take_off
from firings.logbook.facts import FiringFacts
from firings.logbook.services import change_firing, read_witness_cones, settle_reached_cone
from firings.models import Curve, Firing
from tests.factories import CONE_5, GlazeFactory, KilnFactory, TileFactory, fired_outcomes, glaze_tile
from tests.firings.curves.kept import SPRING, curve_of, fired, read
from tiles.models import Outcome
from tiles.ranges.queries import range_sheet
from tiles.search.queries import results

pytestmark = pytest.mark.django_db

# What each says of a firing aimed at cone 6, as the nearest whole cone.
SAID = {"witness": "5", "curve": "8", "controller": "4", "target": "6"}


def result_of(firing: Firing) -> Outcome:
    tile = glaze_tile(TileFactory(), (GlazeFactory(), {"band 1": 2}))
    return fired_outcomes(tile, firing)[0]


@pytest.fixture
def by_source() -> dict[str, Outcome]:
    """A result of each kind of evidence, in a kiln of its own."""
    found = {}
    for source in SAID:
        firing = fired(KilnFactory(), 1, controller_number=Decimal(4) if source == "controller" else None)
        found[source] = result_of(firing)
        if source == "witness":
            read(firing, order=CONE_5)
        if source in ("curve", "witness"):
            curve_of(firing)
        settle_reached_cone(Firing.objects.get(pk=firing.pk))
    return found


def found(query: str) -> set[Outcome]:
    return set(results(query))


@pytest.mark.parametrize("source", SAID)
def test_the_cone_the_ware_saw_finds_its_result_alone(by_source, source):
    assert found(f"cone={SAID[source]}") == {by_source[source]}
    assert Outcome.objects.get(pk=by_source[source].pk).reached_source == source


def test_the_target_cone_finds_all_that_were_aimed_at_it(by_source):
    assert found("cone=6&cone_by=target") == set(by_source.values())
    assert found("cone=5&cone_by=target") == set()


def test_a_span_of_reached_cones_takes_all_sources(by_source):
    assert found("cone=4–8") == set(by_source.values())
    assert found("cone=4–5") == {by_source["controller"], by_source["witness"]}


def test_the_page_says_which_was_asked_for(by_source, viewer_client: Client):
    reached = viewer_client.get("/results/?cone=8").content.decode()
    target = viewer_client.get("/results/?cone=6&cone_by=target").content.decode()

    assert "cone 8 reached" in " ".join(reached.split())
    assert "cone 6 target" in " ".join(target.split())
    assert "reached 7.5 (logged curve)" in reached
    assert "reached 4 (controller)" in target


def test_half_a_cone_over_is_found_by_the_cone_it_was_meant_for_everywhere(viewer_client: Client):
    glaze = GlazeFactory()
    firing = fired(KilnFactory(), 1, target_order=CONE_5, controller_number=Decimal("5.55"))
    (outcome,) = fired_outcomes(
        glaze_tile(TileFactory(), (glaze, {"band 1": 2})), settle_reached_cone(firing)
    )
    asked = ({"glaze": glaze.pk, "cone": cone} for cone in (6, 5))
    six, five = (viewer_client.get("/answers/", one) for one in asked)

    assert (found("cone=5"), found("cone=6")) == ({outcome}, set())
    assert [len(page.context["answer"].exact) for page in (six, five)] == [0, 1]
    cells = [cell for line in range_sheet(glaze, {"columns": "cone"}).matrix.cells for cell in line]
    assert [cell.column.words for cell in cells if cell.best] == ["cone 5"]


def stands(outcome: Outcome) -> tuple[str, str]:
    now = Outcome.objects.get(pk=outcome.pk)
    return series.label_of(now.reached_order), now.reached_source


def test_the_reached_cone_moves_with_each_change_of_the_evidence(recorder):
    firing = fired(KilnFactory(), 1)
    outcome = result_of(firing)
    curve = curve_of(firing)
    assert stands(outcome) == ("8", "curve")

    cooler = curve_of(firing, 1190.0)
    assert stands(outcome) == ("6", "curve")
    let_count(curve, by=recorder)
    assert stands(outcome) == ("8", "curve")
    take_off(curve, by=recorder)
    assert stands(outcome) == ("6", "curve")
    take_off(cooler, by=recorder)
    assert stands(outcome) == ("6", "target")
    read(firing, order=CONE_5)
    assert stands(outcome) == ("5", "witness")
    read_witness_cones(firing.pk, [], by=recorder)
    stated = {name: getattr(firing, name) for name in FiringFacts.__dataclass_fields__}
    facts = FiringFacts(**stated | {"controller_number": Decimal("4.2")})
    change_firing(firing.pk, Firing.objects.get(pk=firing.pk).stamp, facts, by=recorder)
    assert stands(outcome) == ("4", "controller")


def make_out_of_date(curve: Curve) -> None:
    interval = curve.heat["interval"] | {"value": 5.0}
    Curve.objects.filter(pk=curve.pk).update(heat=curve.heat | {"interval": interval})
    settle_reached_cone(Firing.objects.get(pk=curve.firing_id))


def test_recomputed_heat_work_moves_the_result():
    firing = fired(KilnFactory(), 1)
    outcome = result_of(firing)
    make_out_of_date(curve_of(firing))
    assert stands(outcome) == ("5", "curve")

    assert [one.after for one in recompute()] == [7.53]
    assert stands(outcome) == ("8", "curve")


@pytest.mark.parametrize("change", ["take off", "let count", "recompute", "read cones"])
def test_where_the_results_cannot_follow_nothing_changes(recorder, monkeypatch, change):
    firing = fired(KilnFactory(), 1)
    outcome = result_of(firing)
    curve = curve_of(firing, counts_since=SPRING)
    curve_of(firing, 1190.0)
    if change == "recompute":
        Curve.objects.update(heat=curve.heat | {"number": 5.0})
    before = stands(outcome), list(Curve.history.values_list("pk")), list(Curve.objects.values("pk", "heat"))

    def refuse(firing_ids):
        raise RuntimeError("no")

    monkeypatch.setattr(listeners, "firings_changed", [refuse])
    does = {
        "take off": lambda: take_off(Curve.objects.order_by("counts_since").last(), by=recorder),
        "let count": lambda: let_count(curve, by=recorder),
        "recompute": lambda: list(recompute()),
        "read cones": lambda: read(firing, order=CONE_5),
    }
    with pytest.raises(RuntimeError):
        does[change]()

    assert (
        stands(outcome),
        list(Curve.history.values_list("pk")),
        list(Curve.objects.values("pk", "heat")),
    ) == before
    assert not Firing.objects.get().witness_cones.exists()
