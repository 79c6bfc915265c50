"""Records put back to how they stood, with all that goes back with them."""

import pytest

from firings.models import Firing
from studio.history.queries import changes_of
from studio.history.services import CannotRestore, restore
from tests.factories import (
    ClayBodyFactory,
    FiringFactory,
    GlazeBatchFactory,
    GlazeFactory,
    TileFactory,
    TileFormFactory,
    fired_outcomes,
    glaze_tile,
)
from tiles.conditions.queries import conditions_of, copies_of, truths_of
from tiles.models import Coverage, Flaw, Layer, Outcome, Tile

pytestmark = pytest.mark.django_db


@pytest.fixture
def harbour():
    return GlazeFactory(name="Harbour")


@pytest.fixture
def flux():
    return GlazeFactory(name="Flux L")


@pytest.fixture
def tile(harbour, flux):
    return glaze_tile(
        TileFactory(note="as made"), (flux, {"band 1": 1}), (harbour, {"band 1": 2, "band 2": 3})
    )


def laid(tile: Tile) -> list[tuple[int, str, str, int]]:
    """What lies on a tile: position, glaze, zone, coats."""
    rows = Coverage.objects.filter(layer__tile=tile).order_by("layer__position", "zone__position")
    return [(row.layer.position, row.layer.glaze.name, row.zone.name, row.coats) for row in rows]


def change(tile: Tile, **facts) -> None:
    """Edit a tile the way the recording service does: the tile first, then what lies on it."""
    for name, value in facts.items():
        setattr(tile, name, value)
    tile.save()


def test_a_tile_goes_back_with_its_layers_and_coats(tile, harbour, keeper):
    as_made, first = laid(tile), tile.standing_version
    change(tile, note="glazed again")
    tile.layers.get(glaze__name="Flux L").delete()
    coats = Coverage.objects.get(zone__name="band 2")
    coats.coats = 5
    coats.save()
    glaze_tile(tile, (GlazeFactory(name="Moss"), {"back": 1}), position=7)

    restore(tile, first, by=keeper)

    tile.refresh_from_db()
    assert tile.note == "as made"
    assert laid(tile) == as_made


def test_layers_that_changed_places_go_back_to_their_places(tile, keeper):
    as_made, first = laid(tile), tile.standing_version
    change(tile, note="turned over")
    lower, upper = tile.layers.order_by("position")
    for layer, position in ((lower, 9), (upper, 1), (lower, 2)):
        layer.position = position
        layer.save()

    restore(tile, first, by=keeper)

    assert laid(tile) == as_made


def test_putting_back_can_itself_be_put_back(tile, keeper):
    first = tile.standing_version
    change(tile, note="second")
    Coverage.objects.filter(zone__name="band 2").first().delete()
    second, second_laid = tile.standing_version, laid(tile)

    restore(tile, first, by=keeper)
    restore(tile, second, by=keeper)

    tile.refresh_from_db()
    assert (tile.note, laid(tile)) == ("second", second_laid)


def test_results_follow_what_was_put_back(tile, keeper):
    (lower, upper) = fired_outcomes(tile, FiringFactory(fired=True))
    first = tile.standing_version
    change(tile, note="no flux after all")
    tile.layers.get(glaze__name="Flux L").delete()

    restore(tile, first, by=keeper)

    outcomes = list(Outcome.objects.for_display().filter(tile=tile))
    assert truths_of(outcomes) == copies_of(outcomes)
    assert [layer.glaze for layer in conditions_of(outcomes[0]).layers] == ["Flux L", "Harbour"]
    assert {outcome.pk for outcome in outcomes} == {lower.pk, upper.pk}


def test_a_judgement_goes_back_with_its_flaws(tile, keeper):
    outcome = fired_outcomes(tile, FiringFactory(fired=True))[0]
    outcome.surface = "satin"
    outcome.save()
    crazing = Flaw.objects.create(outcome=outcome, kind="crazing", severity="marked")
    first = outcome.standing_version
    outcome.surface = "matt"
    outcome.save()
    crazing.delete()
    Flaw.objects.create(outcome=outcome, kind="pinholing")

    restore(outcome, first, by=keeper)

    outcome.refresh_from_db()
    assert outcome.surface == "satin"
    assert [(flaw.kind, flaw.severity) for flaw in outcome.flaws.all()] == [("crazing", "marked")]


def test_the_outcome_of_a_firing_goes_back_without_touching_its_conditions(tile, keeper):
    outcome = fired_outcomes(tile, FiringFactory(fired=True))[0]
    outcome.remark = "honey"
    outcome.save()
    first = outcome.standing_version
    outcome.remark = "brown"
    outcome.save()

    restored = restore(outcome, first, by=keeper)

    assert (restored.remark, restored.stack_key) == ("honey", outcome.stack_key)


def test_a_firing_goes_back_and_its_results_with_it(tile, keeper):
    firing = FiringFactory(fired=True, hold_min=10)
    fired_outcomes(tile, firing)
    first = firing.standing_version
    firing = Firing.objects.get(pk=firing.pk)
    firing.hold_min = 25
    firing.save()

    restore(firing, first, by=keeper)

    assert set(Outcome.objects.values_list("hold_min", flat=True)) == {10}


def test_a_lot_goes_back_and_results_name_it_as_before(harbour, keeper):
    lot = GlazeBatchFactory(glaze=harbour, lot="24-118")
    tile = glaze_tile(TileFactory(), (harbour, {"band 1": 1}), batch=lot)
    fired_outcomes(tile, FiringFactory(fired=True))
    first = lot.standing_version
    lot.lot = "24-119"
    lot.save()

    restore(lot, first, by=keeper)

    assert Outcome.objects.get().lots == "24-118"


def test_who_put_it_back_is_in_the_history(tile, keeper):
    first = tile.standing_version
    change(tile, note="second")

    restore(tile, first, by=keeper)

    assert tile.history.first().history_user == keeper


def test_what_somebody_changed_since_is_not_put_back_over_them(tile, keeper):
    first, stamp = tile.standing_version, tile.stamp
    change(tile, note="by another")

    with pytest.raises(CannotRestore, match="changed again since"):
        restore(tile, first, by=keeper, stamp=stamp)
    tile.refresh_from_db()
    assert tile.note == "by another"


def test_a_tile_of_another_form_is_refused_in_words(keeper):
    tile = TileFactory()
    first = tile.standing_version
    change(tile, form=TileFormFactory())

    with pytest.raises(CannotRestore, match="another form then"):
        restore(tile, first, by=keeper)


def test_a_name_that_belongs_to_another_now_is_refused_in_words(harbour, keeper):
    first = harbour.standing_version
    harbour.name = "Old Harbour"
    harbour.save()
    GlazeFactory(name="Harbour")

    with pytest.raises(CannotRestore, match="belongs to another now"):
        restore(harbour, first, by=keeper)
    harbour.refresh_from_db()
    assert harbour.name == "Old Harbour"


def test_what_it_needs_and_is_gone_is_refused_in_words(keeper):
    first_body = ClayBodyFactory()
    tile = TileFactory(body=first_body)
    first = tile.standing_version
    change(tile, body=ClayBodyFactory())
    first_body.delete()

    with pytest.raises(CannotRestore, match="body it had then is gone"):
        restore(tile, first, by=keeper)


def test_a_version_of_another_record_is_refused(tile, keeper):
    other = TileFactory()

    with pytest.raises(CannotRestore, match="no such version"):
        restore(tile, other.standing_version, by=keeper)


def test_changes_are_told_in_words_of_the_trade(tile, keeper):
    outcome = fired_outcomes(tile, FiringFactory(number=231, fired=True))[0]
    outcome.surface, outcome.run_mm = "satin", 2
    outcome.save()
    Flaw.objects.create(outcome=outcome, kind="crazing", severity="slight")
    change(tile, planned_order=30)

    told = [
        (entry.title, entry.kind, difference.label, difference.before, difference.after)
        for one in changes_of(tile)
        for entry in one.entries
        for difference in entry.differences
    ]

    assert ("", "changed", "planned for cone", "", "6") in told
    assert ("band 1 after F-0231", "changed", "surface", "", "satin") in told
    assert ("band 1 after F-0231", "changed", "run, mm", "", "2") in told
    assert ("crazing on band 1 after F-0231 seen", "added", "severity", "", "slight") in told
    assert ("Harbour on band 2", "added", "coats", "", "3") in told
    assert ("Harbour as layer 2 put on", "added", "method", "", "brushed") in told


def test_history_takes_no_more_queries_for_more_changes(
    tile, django_assert_num_queries, django_assert_max_num_queries
):
    change(tile, note="a")
    with django_assert_max_num_queries(40) as few:
        changes_of(tile)
    for number in range(10):
        change(tile, note=str(number))
        glaze_tile(tile, (Layer.objects.first().glaze, {"back": 1}))

    with django_assert_num_queries(len(few)):
        changes_of(tile)
