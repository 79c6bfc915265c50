"""A programme in one line: read as people write it, written so that it reads back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firings.programmes.segments import Segment, Unit, UnreadableProgramme, read, write


@pytest.mark.parametrize(
    ("text", "segments"),
    [
        ("60:1000,60:1222,0:10", [(60, 1000, 0), (60, 1222, 10)]),
        (" 60 : 1000 , 60:1222 , 0:10 ", [(60, 1000, 0), (60, 1222, 10)]),
        ("60:1222:10", [(60, 1222, 10)]),
        ("60:1222,0:10,0:5", [(60, 1222, 15)]),
        ("fast:600,150:1000", [(None, 600, 0), (150, 1000, 0)]),
        ("MAX:600", [(None, 600, 0)]),
        ("60:1222,150:1100", [(60, 1222, 0), (150, 1100, 0)]),
        ("60:1222,-150:1100", [(60, 1222, 0), (150, 1100, 0)]),
        ("60:1222,fast:900:60", [(60, 1222, 0), (None, 900, 60)]),
        ("60,5:1000;60:1222,5;0:10", [(60.5, 1000, 0), (60, 1222.5, 10)]),
        ("60:1000\n60:1222\n0:10\n", [(60, 1000, 0), (60, 1222, 10)]),
        ("60:1000;", [(60, 1000, 0)]),
        ("60 °C/h:1222 °C", [(60, 1222, 0)]),
        ("60:1222,0:1h30", [(60, 1222, 90)]),
        ("60:1222,0:1h", [(60, 1222, 60)]),
        ("60:1222,0:15 min", [(60, 1222, 15)]),
    ],
)
def test_a_programme_is_read_as_people_write_it(text, segments):
    assert read(text) == tuple(Segment(*segment) for segment in segments)


@pytest.mark.parametrize(
    ("text", "unit"),
    [("108:1832,270:2232,0:10", Unit.FAHRENHEIT), ("108F:1832F,270:2232F,0:10", Unit.CELSIUS)],
)
def test_fahrenheit_rates_have_no_offset(text, unit):
    # 108 and 270 °F/h are 60 and 150 °C/h exactly (headings of the published cone chart in both units).
    first, second = read(text, unit=unit)

    assert first.rate_c_per_h == pytest.approx(60)
    assert second.rate_c_per_h == pytest.approx(150)
    assert first.target_c == pytest.approx(1000)
    assert second.target_c == pytest.approx(1222.22, abs=0.01)
    assert second.hold_min == 10


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "Write a programme such as"),
        (" , ;", "Write a programme such as"),
        ("60", "Segment 1: '60' is no segment"),
        ("60:1000,1222", "Segment 2: '1222' is no segment"),
        ("60:1:2:3", "Segment 1"),
        ("0:10", "Segment 1: a hold needs a ramp before it"),
        ("60:1222,0:10:5", "Segment 2: a hold is 0:minutes"),
        ("hot:1222", "'hot' is not a rate; write degrees an hour, or fast"),
        ("60:hot", "'hot' is not a temperature"),
        ("60:1222,0:ten", "'ten' is not a hold; write minutes"),
        ("60:1000,60:1000", "Segment 2: it stays at 1000 °C; write 0:minutes"),
        ("60:1000,-60:1222", "a falling rate does not lead up from 1000 to 1222"),
        ("60:2000", "no temperature for a kiln"),
        ("60:-5", "no temperature for a kiln"),
        ("9999:1222", "no rate for a kiln"),
        ("0.01:1222", "no rate for a kiln"),
        ("60:1222,0:9999", "longer than 6000 min"),
        ("60:1222,0:5999,0:5", "longer than 6000 min"),
        ("60C:2232F", "rate and temperature are in different units"),
    ],
)
def test_what_is_no_programme_is_refused_with_what_to_write(text, words):
    with pytest.raises(UnreadableProgramme, match=words.replace("(", r"\(")):
        read(text)


rates = st.none() | st.floats(0.5, 2000).map(lambda rate: round(rate, 1))
targets = st.lists(st.integers(30, 1400), min_size=1, max_size=8).map(
    lambda temps: [temp for place, temp in enumerate(temps) if place == 0 or temp != temps[place - 1]]
)


@given(st.data(), targets, st.sampled_from(list(Unit)))
def test_what_is_written_reads_back(data, temps, unit):
    segments = [
        Segment(data.draw(rates), float(temp), float(data.draw(st.integers(0, 600)))) for temp in temps
    ]

    back = read(write(segments, unit=unit))

    assert len(back) == len(segments)
    for one, other in zip(back, segments, strict=True):
        assert (one.rate_c_per_h or 0) == pytest.approx(other.rate_c_per_h or 0, abs=1e-3)
        assert one.target_c == pytest.approx(other.target_c, abs=1e-3)
        assert one.hold_min == other.hold_min


@given(st.text(st.sampled_from("0123456789:,;.-hfFC °max\n"), max_size=40) | st.text(max_size=40))
def test_any_text_is_read_or_refused(text):
    try:
        segments = read(text)
    except UnreadableProgramme as refusal:
        words = str(refusal)
    else:
        words = write(segments)
        assert all(0 <= segment.target_c <= 1800 and 0 <= segment.hold_min <= 6000 for segment in segments)

    assert words
