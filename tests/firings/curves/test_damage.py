"""A damaged file is read as it was, or refused, or read with a word about it: never a crash, never in silence."""

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from firings.curves.reading import Reading, read
from firings.curves.text import UnreadableCurve
from firings.curves.together import OneCurve, one_curve
from tests.firings.curves import shapes

FILES = {name: make() for name, make in shapes.SHAPES.items()}
# A digit changed here and there moves the curve by less than a kiln can: that cannot be seen, and does no harm.
HARMLESS_C = 30.0

few = settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))
files = st.sampled_from(sorted(FILES))
junk = st.text(st.characters(codec="utf-8"), max_size=30)
places = st.integers(0, 10_000)


def read_or_refused(data: bytes) -> tuple[Reading, OneCurve] | None:
    try:
        reading = read(data)
        return reading, one_curve(reading.times_s, reading.by_name())
    except UnreadableCurve as refusal:
        words = str(refusal)
    assert words.strip()
    assert "\n" not in words
    return None


def said(reading: Reading, curve: OneCurve) -> tuple[str, ...]:
    return (*reading.warnings, *curve.words)


def said_of(data: bytes) -> set[str]:
    reading = read(data)
    return set(said(reading, one_curve(reading.times_s, reading.by_name())))


# What is said of the files when they are whole does not count as a word about the damage.
SAID_ANYWAY = {name: said_of(written.data) for name, written in FILES.items()}


def is_true(name: str, curve: OneCurve, reading: Reading) -> bool:
    """Whether the curve is the firing's, give or take a shift in time of its start."""
    lost_s = shapes.LENGTH_S - float(reading.times_s[-1])
    shifts = (0.0, *((lost_s,) if lost_s > 0 else ()))
    off = min(np.abs(curve.temps_c - shapes.temps_at(curve.times_s + shift)).max() for shift in shifts)
    return off <= FILES[name].loss_c + HARMLESS_C


def check(name: str, data: bytes) -> None:
    found = read_or_refused(data)
    if found is None:
        return
    reading, curve = found
    assert is_true(name, curve, reading) or set(said(reading, curve)) - SAID_ANYWAY[name]


def lines_of(name: str) -> tuple[list[str], str]:
    encoding = "utf-16" if name == "days_of_a_spreadsheet" else "utf-8"
    return FILES[name].data.decode(encoding, errors="replace").split("\n"), encoding


def changed(name: str, lines: list[str], encoding: str) -> bytes:
    return "\n".join(lines).encode(encoding, errors="replace")


@few
@given(files, st.lists(st.tuples(places, junk), min_size=1, max_size=8))
def test_lines_of_junk_between(name, inserts):
    lines, encoding = lines_of(name)
    for place, words in inserts:
        lines.insert(place % len(lines), words)

    check(name, changed(name, lines, encoding))


@few
@given(files, st.lists(st.tuples(places, st.integers(1, 60)), min_size=1, max_size=4))
def test_rows_lost(name, cuts):
    lines, encoding = lines_of(name)
    for place, count in cuts:
        start = place % len(lines)
        del lines[start : start + count]

    check(name, changed(name, lines, encoding))


@few
@given(files, st.lists(st.tuples(places, places), min_size=1, max_size=5))
def test_rows_doubled_or_moved(name, moves):
    lines, encoding = lines_of(name)
    for source, target in moves:
        lines.insert(target % len(lines), lines[source % len(lines)])

    check(name, changed(name, lines, encoding))


@few
@given(files, st.lists(st.tuples(places, st.integers(0, 9), junk), min_size=1, max_size=10))
def test_cells_replaced(name, cells):
    lines, encoding = lines_of(name)
    for place, column, words in cells:
        at = place % len(lines)
        mark = next((mark for mark in "\t;|," if mark in lines[at]), " ")
        parts = lines[at].split(mark)
        parts[column % len(parts)] = words
        lines[at] = mark.join(parts)

    check(name, changed(name, lines, encoding))


@few
@given(files, st.lists(st.tuples(places, st.binary(min_size=1, max_size=3)), min_size=1, max_size=20))
def test_bytes_overwritten(name, hits):
    data = bytearray(FILES[name].data)
    for place, patch in hits:
        at = place * 37 % len(data)
        data[at : at + len(patch)] = patch

    check(name, bytes(data))


@few
@given(files, st.floats(0, 1), st.floats(0, 1))
def test_the_beginning_or_the_end_torn_off(name, start, stop):
    data = FILES[name].data
    first, last = sorted((int(start * len(data)), int(stop * len(data))))

    read_or_refused(data[first:last])


@few
@given(st.binary(max_size=400))
def test_any_bytes_at_all(data):
    read_or_refused(data)


@few
@given(st.text(st.sampled_from("0123456789.,;:\t\n -/TZ°CFapmE\"'#"), max_size=400))
def test_any_text_of_figures(words):
    read_or_refused(words.encode())


@pytest.mark.parametrize("name", sorted(FILES))
def test_a_spike_is_left_out_and_said(name):
    lines, encoding = lines_of(name)
    row = len(lines) // 2
    cold = "".join(
        "9" if char.isdigit() and place > len(lines[row]) - 7 else char
        for place, char in enumerate(lines[row])
    )
    lines[row] = cold

    check(name, changed(name, lines, encoding))
