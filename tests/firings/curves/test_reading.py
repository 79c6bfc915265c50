"""Any logger's file is read as it was meant, or refused; nothing is guessed in silence."""

import numpy as np
import pytest

from firings.curves.reading import Choice, read
from firings.curves.text import UnreadableCurve
from firings.curves.together import one_curve
from firings.heatwork.equivalent import equivalent
from firings.programmes.segments import Unit
from tests.firings.curves import shapes


def number_of(reading) -> float:
    curve = one_curve(reading.times_s, reading.by_name())
    return equivalent(curve.times_s, curve.temps_c).number.value


@pytest.fixture(scope="module")
def true_number() -> float:
    seconds = np.arange(0, shapes.LENGTH_S, 60.0)
    return equivalent(seconds, shapes.temps_at(seconds)).number.value


def test_there_are_shapes_enough():
    assert len(shapes.SHAPES) >= 25


@pytest.mark.parametrize("make", shapes.SHAPES.values(), ids=list(shapes.SHAPES))
def test_a_file_is_read_as_it_was_meant(make, true_number):
    written = make()

    reading = read(written.data)

    curve = one_curve(reading.times_s, reading.by_name())
    assert np.abs(curve.temps_c - shapes.temps_at(curve.times_s)).max() <= written.loss_c
    assert len(reading.sensors) == written.sensors
    assert reading.read_as.unit == written.unit
    assert reading.started_at == written.starts
    assert np.median(np.diff(reading.times_s)) == pytest.approx(written.step_s, abs=0.1)
    assert written.said in " ".join(reading.warnings)
    # 1.6 °C, the largest rounding among the shapes, is 0.1 cone here
    assert number_of(reading) == pytest.approx(true_number, abs=0.12)


@pytest.mark.parametrize("make", shapes.SHAPES.values(), ids=list(shapes.SHAPES))
def test_every_column_is_accounted_for(make):
    read_as = read(make().data).read_as

    roles = [column["role"] for column in read_as.columns]
    assert all(role == "time" or role.startswith(("temperature", "left out: ")) for role in roles)
    assert sum(role.startswith("temperature") for role in roles) == make().sensors
    assert read_as.time_base
    assert read_as.unit


def lines_of(*more: str, name: str = "temp_c") -> list[str]:
    return [f"s,{name}", *(f"{s:.0f},{t:.1f}" for s, t in shapes.rows()), *more]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"  \n \n", "empty"),
        (b"PK\x03\x04rest", "Save the sheet as CSV"),
        (b"\xd0\xcf\x11\xe0rest", "Save it as .xlsx, or the sheet as CSV"),
        (b"%PDF-1.7", "PDF"),
        (b"\x89PNG\r\n", "picture"),
        (b"\x00\x01\x02\x03" * 99, "no text|No table"),
        (b"Dear all,\nthe kiln was hot.\n", "No table"),
        (b"1\n2\n3\n", "No table"),
        (b"time,temp\n", "No table"),
    ],
    ids=["empty", "blank", "xlsx", "xls", "pdf", "png", "bytes", "letter", "one column", "names alone"],
)
def test_what_holds_no_curve_is_refused_with_what_to_do(data, words):
    with pytest.raises(UnreadableCurve, match=words):
        read(data)


def test_commas_that_part_fields_and_decimals_are_refused():
    lines = ["minutes,kiln °C", *(f"{s / 60:.0f},{t:.1f}".replace(".", ",") for s, t in shapes.rows())]

    with pytest.raises(UnreadableCurve, match="semicolons or tabs"):
        read(shapes.text(lines))


def test_commas_for_everything_without_names_are_doubted():
    lines = [f"{s / 60:.0f},{t:.1f}".replace(".", ",") for s, t in shapes.rows()]

    assert "decimals were left out" in " ".join(read(shapes.text(lines)).warnings)


def test_celsius_that_no_kiln_reaches_is_refused():
    lines = ["s,kiln °C", *(f"{s:.0f},{shapes.fahrenheit(t):.1f}" for s, t in shapes.rows())]

    with pytest.raises(UnreadableCurve, match="if it is °F, say so"):
        read(shapes.text(lines))


def test_a_person_can_say_the_unit():
    lines = ["s,kiln °C", *(f"{s:.0f},{shapes.fahrenheit(t):.1f}" for s, t in shapes.rows())]

    reading = read(shapes.text(lines), Choice(unit=Unit.FAHRENHEIT))

    assert reading.sensors[0].temps_c.max() == pytest.approx(1222, abs=0.1)
    assert not reading.read_as.guesses


def test_a_warm_kiln_without_a_unit_is_said_to_be_doubtful():
    lines = ["s,kiln", *(f"{s:.0f},{max(t, 80):.1f}" for s, t in shapes.rows())]

    assert "both would do" in " ".join(read(shapes.text(lines)).warnings)


def test_kelvin_is_refused():
    lines = ["s,kiln (K)", *(f"{s:.0f},{t + 273.15:.1f}" for s, t in shapes.rows())]

    with pytest.raises(UnreadableCurve, match="kelvin"):
        read(shapes.text(lines))


def test_a_unit_of_time_that_suits_no_firing_is_doubted():
    lines = ["s,kiln °C", *(f"{s / 60:.2f},{t:.1f}" for s, t in shapes.rows())]

    assert "check the unit of time" in " ".join(read(shapes.text(lines)).warnings)


def test_a_person_can_say_the_unit_of_time():
    lines = ["s,kiln °C", *(f"{s / 60:.2f},{t:.1f}" for s, t in shapes.rows())]

    reading = read(shapes.text(lines), Choice(time_unit="min"))

    assert reading.times_s[-1] == pytest.approx(shapes.LENGTH_S, abs=61)


def test_rows_without_times_need_to_be_told_how_often_they_were_read():
    data = shapes.text(["no.,kiln °C", *(f"{n},{t:.1f}" for n, (_, t) in enumerate(shapes.rows()))])

    with pytest.raises(UnreadableCurve, match="no column of times"):
        read(data)
    assert read(data, Choice(every_s=60.0)).times_s[-1] == pytest.approx(shapes.LENGTH_S, abs=61)


def test_the_sensors_can_be_chosen():
    data = shapes.three_zones_in_fahrenheit_with_count_of_rows().data

    reading = read(data, Choice(sensors=(3,)))

    assert [sensor.name for sensor in reading.sensors] == ["TC2 (F)"]
    assert "not chosen" in reading.read_as.columns[2]["role"]


def test_columns_that_are_not_there_cannot_be_chosen():
    with pytest.raises(UnreadableCurve, match="has 2 columns"):
        read(shapes.seconds_and_celsius().data, Choice(sensors=(7,)))


def test_the_order_of_day_and_month_can_be_said():
    lines = ["when,°C", *(f"3/4/2026 {shapes.clock(s, '00:10:00')},{t:.1f}" for s, t in shapes.rows())]
    data = shapes.text(lines)

    assert "the file does not tell" in " ".join(read(data).warnings)
    assert read(data, Choice(day_first=True)).started_at.month == 4
    assert read(data, Choice(day_first=False)).started_at.month == 3


def test_two_logs_in_one_file_are_refused():
    with pytest.raises(UnreadableCurve, match="several logs"):
        read(shapes.text([*lines_of(), *lines_of()[1:]]))


def test_a_few_late_rows_are_put_in_their_place():
    lines = lines_of()
    lines.append(lines.pop(300))

    reading = read(shapes.text(lines))

    assert "Put in their place: 1 row" in " ".join(reading.warnings)
    assert (np.diff(reading.times_s) > 0).all()


def test_repeated_rows_count_once():
    lines = lines_of()
    lines.insert(300, lines[300])

    assert len(read(shapes.text(lines)).times_s) == len(lines) - 2


def test_a_hold_over_the_clock_change_is_left_a_gap_and_said():
    # In a hold nothing tells an hour that the clock skipped from an hour that was not logged.
    times = [s + (3600 if s >= 7200 else 0) for s in np.arange(0, 36000, 60.0)]
    lines = [f"2026-03-29 {shapes.clock(s)},{900 if s > 3000 else 20 + s * 0.29:.1f}" for s in times]

    reading = read(shapes.text(["local time,kiln °C", *lines]))

    assert "may be the clock put forward" in " ".join(reading.warnings)
    assert np.diff(reading.times_s).max() == 3660


def test_a_set_point_alone_is_no_curve():
    with pytest.raises(UnreadableCurve, match="a set point"):
        read(shapes.text(lines_of(name="set point °C")))


def test_a_log_that_never_gets_hot_is_no_firing():
    with pytest.raises(UnreadableCurve, match="No column looks like"):
        read(shapes.text(["s,kiln °C", *(f"{s:.0f},{t / 10:.1f}" for s, t in shapes.rows())]))


def test_sensors_of_one_name_are_told_apart():
    lines = ["s,kiln °C,kiln °C", *(f"{s:.0f},{t:.1f},{t - 5:.1f}" for s, t in shapes.rows())]

    assert list(read(shapes.text(lines)).by_name()) == ["kiln °C 1", "kiln °C 2"]


def test_a_ramp_of_one_degree_a_row_is_no_count():
    lines = ["min,kiln °C", *(f"{minute},{20 + minute}" for minute in range(1201))]

    assert read(shapes.text(lines)).sensors[0].temps_c.max() == 1220


@pytest.mark.parametrize("names", ["time,temp", "t,T", "minutes,kiln", "x,temperature", ""])
def test_a_log_that_only_rises_is_told_by_its_names_or_their_order(names):
    lines = [f"{s / 60:.0f},{t:.1f}" for s, t in shapes.rows() if s < 12 * 3600 * 0.9]

    reading = read(shapes.text([names, *lines]))

    assert reading.sensors[0].temps_c.max() == pytest.approx(1195, abs=30)
    assert reading.times_s[-1] == pytest.approx(12 * 3600 * 0.9, abs=120)


def test_a_log_that_only_rises_with_its_columns_turned():
    lines = [f"{t:.1f},{s / 60:.0f}" for s, t in shapes.rows() if s < 10 * 3600]

    reading = read(shapes.text(["temp C,elapsed min", *lines]))

    assert reading.times_s[-1] == pytest.approx(10 * 3600, abs=120)


def test_sensors_in_turn_in_one_column_are_refused():
    lines = [
        f"{shapes.clock(s)},{zone},{t + shift:.1f}"
        for s, t in shapes.rows()
        for zone, shift in (("top", 8), ("bottom", -8))
    ]

    with pytest.raises(UnreadableCurve, match="a column for each sensor"):
        read(shapes.text(["time,zone,deg C", *lines]))


@pytest.mark.parametrize("sign", ["9999", "-9999", "32767", "0", "1999.9", "", "OPEN"])
@pytest.mark.parametrize("unit", ["kiln °C", "kiln"])
def test_signs_of_a_broken_sensor_are_no_temperatures(sign, unit):
    rows = [
        f"{s:.0f},{sign if 480 < n < 492 or n % 97 == 5 else f'{t:.1f}'}"
        for n, (s, t) in enumerate(shapes.rows())
    ]

    reading = read(shapes.text([f"s,{unit}", *rows]))
    curve = one_curve(reading.times_s, reading.by_name())

    # a nought in a cold kiln may be a reading
    warm = shapes.temps_at(curve.times_s) > 100
    assert np.abs(curve.temps_c - shapes.temps_at(curve.times_s))[warm].max() < 0.1
    assert any("missing" in words or "no kiln can follow" in words for words in curve.words)


def test_the_decimal_mark_can_be_told():
    # Whole thousands only: "1,000" may be one, or a thousand.
    lines = ["min;kiln °C", *(f"{s / 60:.0f};{t:.3f}" for s, t in shapes.rows())]
    data = shapes.text([line.replace(".", ",") for line in lines])

    assert read(data, Choice(decimal=",")).sensors[0].temps_c.max() == pytest.approx(1222, abs=0.1)
    with pytest.raises(UnreadableCurve):
        read(data, Choice(decimal="."))


def test_the_lines_before_the_table_can_be_told():
    lines = ["1;2", "3;4", "5;6", *(f"{s / 60:.0f};{t:.1f}" for s, t in shapes.rows())]

    reading = read(shapes.text(lines), Choice(header_rows=3, time_unit="min"))

    assert reading.read_as.rows == len(lines) - 3


@pytest.mark.parametrize("told", [0, 10_000, -5])
def test_lines_told_beyond_the_file_are_refused_or_read(told):
    try:
        reading = read(shapes.seconds_and_celsius().data, Choice(header_rows=told))
    except UnreadableCurve:
        return
    assert reading.read_as.rows > 900
