"""What is drawn is what was logged and summed: thinning loses no extreme, what is gathered ends at the cone."""

import os
import time

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firings.curves.accumulation import cone_over_time
from firings.curves.course import Witness, course_of
from firings.curves.drawing import NARROW, WIDE, draw
from firings.curves.originals import Originals
from firings.curves.outlook import look
from firings.curves.plotted import plotted
from firings.curves.reading import Choice
from firings.curves.samples import packed, unpacked
from firings.curves.thinning import thinned
from firings.heatwork.equivalent import equivalent
from firings.programmes.segments import Segment, Unit
from tests.firings.curves.shapes import LENGTH_S, SHAPES, temps_at


@pytest.fixture
def course():
    times = np.arange(0, LENGTH_S, 60.0)
    temps = temps_at(times)
    heat = {"switched_off_h": 11.2, "hold_min": 15.0}
    return course_of(
        times, {"Kiln": temps}, ["Kiln"], heat, [Segment(60.0, 1222.0, 15.0)], [Witness(6.0, "shelf 1")]
    )


@given(st.lists(st.floats(-50, 1400), min_size=2, max_size=400), st.integers(1, 50))
def test_thinning_keeps_the_ends_and_every_extreme(temps, slices):
    temps = np.array(temps)
    kept = thinned(np.arange(len(temps), dtype=float), temps, slices)

    assert kept[0] == 0
    assert kept[-1] == len(temps) - 1
    assert temps[kept].max() == temps.max()
    assert temps[kept].min() == temps.min()
    assert len(kept) <= max(4 * slices, 2)


def test_a_million_readings_are_thinned_to_the_screen():
    times = np.arange(1_000_000.0)

    assert len(thinned(times, np.sin(times), 900)) <= 3600


@pytest.mark.parametrize("rate", [30.0, 60.0, 150.0])
def test_the_gathered_cone_ends_at_the_cone_of_the_curve(rate):
    times = np.linspace(0, 1200 / rate * 3600, 2000)
    temps = np.interp(times, [0, times[-1]], [22.0, 1222.0])
    _, numbers = cone_over_time(times, temps)

    assert numbers[-1] == pytest.approx(equivalent(times, temps).number.value, abs=0.02)
    assert (np.diff(numbers) >= -1e-9).all()


def test_a_firing_too_cool_for_the_table_gathers_nothing():
    hours, numbers = cone_over_time(np.array([0.0, 36000.0]), np.array([20.0, 400.0]))

    assert len(hours) == len(numbers) == 0


@pytest.mark.parametrize("sheet", [WIDE, NARROW])
def test_a_drawing_stays_on_its_sheet(course, sheet):
    drawn = draw(course, sheet, Unit.FAHRENHEIT)
    points = [point for line in (*drawn.lines, drawn.cone_line) for point in line.points]

    assert all(drawn.left <= x <= drawn.edge + 0.1 for x, _ in points)
    assert all(drawn.upper_top <= y <= drawn.upper_floor for line in drawn.lines for _, y in line.points)
    assert all(drawn.lower_top <= y <= drawn.lower_floor for _, y in drawn.cone_line.points)
    assert [kind for kind, _ in drawn.legend] == ["programme", "logged", "hold", "off", "witness"]


def test_a_witness_cone_is_marked_where_the_curve_passed_it(course):
    passed = course.passed_h(course.witnesses[0])

    assert course.cones.at(passed) == pytest.approx(6.0, abs=0.05)
    assert course.passed_h(Witness(9.0, "")) == course.off_h


def test_the_plot_s_columns_are_of_one_length_and_in_the_unit(course):
    found = plotted(course, 300, Unit.FAHRENHEIT)
    logged = next(one["values"] for one in found["temps"] if one["kind"] == "logged")

    assert {len(one["values"]) for one in found["temps"]} == {len(found["hours"])} == {len(found["cones"])}
    assert max(filter(None, logged)) == pytest.approx(1222 * 1.8 + 32, abs=1)


@given(st.lists(st.floats(0, 1400, width=32), min_size=2, max_size=50))
def test_packed_columns_come_back(temps):
    times = np.arange(len(temps)) * 60.0
    back_times, (back,) = unpacked(packed(times, [np.array(temps)]), len(temps))

    assert back_times.tolist() == times.tolist()
    assert back.tolist() == temps


def test_files_are_whole_or_not_there(tmp_path):
    store = Originals(tmp_path)

    def breaks_off():
        yield b"half a "
        raise OSError("the disk is full")

    with pytest.raises(OSError, match="full"):
        store.receive(breaks_off())

    assert list(tmp_path.rglob("*")) == [tmp_path / "arriving"]


def test_what_nobody_confirmed_is_forgotten_and_what_is_kept_stays(tmp_path):
    store = Originals(tmp_path)
    kept, left = store.receive([b"kept"]), store.receive([b"left"])
    store.keep(kept)
    for place in (store.kept(kept), store.waiting(left)):
        os.utime(place, (0, 0))

    assert store.sweep(now=time.time) == 1
    assert store.find(kept) == store.kept(kept)
    assert store.find(left) is None


@pytest.mark.parametrize("name", ["../../etc/passwd", "", "0" * 63, "G" * 64])
def test_no_name_leads_out_of_the_folder(tmp_path, name):
    assert Originals(tmp_path).find(name) is None


def test_one_sensor_may_count_alone():
    data = next(written.data for make in SHAPES.values() if (written := make()).sensors > 1)
    together = look(data, Choice())
    name = together.counting[0]

    assert look(data, Choice(), name).counting == (name,)
    assert len(together.counting) > 1
