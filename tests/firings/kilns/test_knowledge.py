"""What a kiln's history tells: evenness, drift, months; and the intervals behind it."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firings.kilns.drift import Reading, drift, theil_sen
from firings.kilns.evenness import evenness
from firings.kilns.interval import mean_95, median_95
from firings.kilns.months import Fired, age_of, by_month
from firings.programmes.segments import Unit
from tests.counting import queries_of
from tests.factories import FiringFactory, KilnFactory, ShelfFactory, WitnessConeFactory

# Student 1908, sleep of ten patients with two drugs, hours gained.
FIRST = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0]
SECOND = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4]
DAY = date(2026, 3, 1)


def monthly(*reads_c):
    return [Reading(DAY + timedelta(days=30 * at), reads) for at, reads in enumerate(reads_c)]


def test_the_interval_of_a_mean_is_students():
    found = mean_95([one - other for one, other in zip(FIRST, SECOND, strict=True)], "")

    assert found.value == pytest.approx(-1.58)
    # Published many times over for these data: -2.4598858 to -0.7001142.
    assert (found.low, found.high) == pytest.approx((-2.4598858, -0.7001142), abs=2e-3)


def test_four_values_use_the_tables_factor():
    # t of 3 degrees of freedom, two-sided 95 %: 3.182 (NIST/SEMATECH e-Handbook 1.3.6.7.2).
    found = mean_95([1.0, 2.0, 3.0, 4.0], "")

    assert found.high - found.value == pytest.approx(3.182 * 1.2909944 / 2, rel=1e-6)
    assert mean_95([1.0, 2.0, 3.0], "") is None


@pytest.mark.parametrize(("count", "left_out"), [(6, 0), (8, 0), (9, 1), (12, 2), (15, 3), (20, 5)])
def test_the_interval_of_a_median_leaves_out_what_tables_leave_out(count, left_out):
    # Ranks of the 95 % interval of a median by the binomial, as in tables of the sign test (Dixon and Mood 1946).
    found = median_95(list(range(count)), "")

    assert (found.low, found.high) == (left_out, count - 1 - left_out)


def test_a_robust_slope_shrugs_off_one_wild_firing():
    # Worked example: least squares gives 4.4286 here.
    found = theil_sen(list(zip(range(1, 7), (1.0, 2.1, 2.9, 4.2, 5.0, 30.0), strict=True)))

    assert found.value == pytest.approx(1.0667, abs=1e-4)


@given(st.lists(st.floats(-50, 50), min_size=6, max_size=14), st.floats(-3, 3))
def test_a_steady_change_is_added_to_the_slope(values, slope):
    plain = theil_sen(list(enumerate(values)))
    steeper = theil_sen([(at, value + slope * at) for at, value in enumerate(values)])

    assert steeper.value == pytest.approx(plain.value + slope, abs=1e-6)
    assert steeper.low <= steeper.value <= steeper.high


def test_a_sensor_that_reads_low_since_march_is_said_to_with_n_and_interval():
    found = drift("controller", monthly(-8, -7, -9, -8, -10, -8, -6))

    assert found.is_off
    assert (
        found.words
        == "The controller reads 8 °C low since March 2026 (n 7, 6 °C to 10 °C): check the thermocouple."
    )


def test_a_sensor_is_spoken_of_in_the_studio_s_unit():
    found = drift("controller", monthly(-8, -7, -9, -8, -10, -8, -6))

    assert "reads 14 °F low since" in found.words.words(Unit.FAHRENHEIT)
    assert found.readings[0].words.words(Unit.FAHRENHEIT) == "−14 °F"
    assert "°F a quarter" in found.slope_words.words(Unit.FAHRENHEIT)


@pytest.mark.parametrize(
    ("reads_c", "said"),
    [
        ((-8, -7, -9, -8, -10), "Not enough to say: 5 of the 6"),
        ((-8, 7, -9, 8, -10, 8, -6), "reads with the witness cones"),
        ((-2, -1, -2, -3, -2, -1, -2), "reads with the witness cones"),
    ],
    ids=["too few", "to and fro", "too little to matter"],
)
def test_thin_evidence_accuses_no_thermocouple(reads_c, said):
    found = drift("controller", monthly(*reads_c))

    assert not found.is_off
    assert said in found.words


def test_a_new_thermocouple_ends_what_was_said_of_the_old_one():
    assert not drift("controller", monthly(-8, -7, -9, -8, -10, -8, 1)).is_off


def test_a_cooler_bottom_shelf_is_found_within_each_firing():
    found = evenness([{1: 5.6, 3: 6.0}, {1: -3.4, 3: -3.0}, {1: 5.5, 3: 6.0}, {1: 5.7, 3: 6.0}])

    assert found.words.startswith(
        "The top shelf fires 0.4 cone hotter than the lowest one read (+0.3 to +0.5, n 4)."
    )
    assert [shelf.stands for shelf in found.shelves] == [True, True]


def test_an_even_kiln_is_not_called_uneven():
    found = evenness([{1: 6.0, 3: 6.2}, {1: 6.2, 3: 6.0}, {1: 6.0, 3: 6.1}, {1: 6.0, 3: 6.0}])

    assert "may as well be even" in found.words


def test_few_firings_are_not_enough_to_say():
    assert "not enough to say" in evenness([{1: 5.0, 2: 6.0}] * 3).words
    assert evenness([{1: 6.0}]) is None


@given(
    st.lists(st.dictionaries(st.integers(1, 5), st.floats(-10, 12), min_size=2), min_size=4, max_size=9),
    st.floats(-3, 3),
)
def test_a_hotter_firing_as_a_whole_makes_no_shelf_hotter(firings, more):
    plain = evenness(firings)
    hotter = evenness([{shelf: number + more for shelf, number in firing.items()} for firing in firings])

    for one, other in zip(plain.shelves, hotter.shelves, strict=True):
        assert (one.difference is None) == (other.difference is None)
        if one.difference:
            assert other.difference.value == pytest.approx(one.difference.value, abs=1e-6)


def test_months_add_up_what_is_known_and_count_what_is_not():
    fired = [Fired(date(2026, 5, 2), 10.5, Decimal(60), Decimal("18.60")), Fired(date(2026, 5, 20))]
    months = by_month(fired, date(2026, 6, 1))

    assert len(months) == 12
    assert (months[-2].count, months[-2].energy_kwh, months[-2].without_energy) == (2, Decimal(60), 1)
    assert months[-1].cost is None


def test_elements_age_from_the_day_they_were_fitted():
    fired = [Fired(date(2026, 5, 2)), Fired(date(2026, 5, 20))]

    assert age_of(date(2026, 5, 10), fired, date(2026, 6, 1)).firings == 1
    assert age_of(None, fired, date(2026, 6, 1)) is None


def read_firing(kiln, shelves, bends, month, controller=None):
    firing = FiringFactory(
        kiln=kiln,
        fired=True,
        started_at=datetime(2026, month, 3, 7, tzinfo=UTC),
        controller_number=controller,
        energy_kwh=Decimal(60),
    )
    for shelf, bend in zip(shelves, bends, strict=True):
        WitnessConeFactory(firing=firing, order=28, shelf=shelf, bend_deg=90)
        WitnessConeFactory(firing=firing, order=30, shelf=shelf, bend_deg=bend)


@pytest.fixture
def known_kiln(db):
    kiln = KilnFactory(elements_fitted_on=date(2026, 1, 1))
    shelves = [ShelfFactory(kiln=kiln, position=position) for position in (1, 2)]
    for month, wobble in zip(range(3, 10), (0, 4, -4, 2, 0, -2, 3), strict=True):
        read_firing(kiln, shelves, (45 + wobble, 72), month, Decimal("5.3"))
    return kiln


def test_a_kilns_page_says_what_its_history_tells(viewer_client, known_kiln):
    page = viewer_client.get(known_kiln.get_absolute_url()).content.decode()

    assert "The top shelf fires 0.3 cone hotter" in page
    assert "low since March 2026 (n 7" in page
    assert "check the thermocouple" in page
    assert "licensed electrician" in page
    assert "7 firings in all" in page
    assert "style=" not in page


def test_a_new_kiln_says_that_there_is_not_enough_to_say(viewer_client, db):
    page = viewer_client.get(KilnFactory().get_absolute_url()).content.decode()

    assert page.count("Not enough to say") == 2


def test_more_firings_ask_no_more_queries_of_a_kiln(viewer_client, known_kiln):
    few = queries_of(viewer_client, known_kiln.get_absolute_url())
    read_firing(known_kiln, known_kiln.shelves.all(), (45, 72), 10, Decimal("5.4"))

    assert queries_of(viewer_client, known_kiln.get_absolute_url()) == few
