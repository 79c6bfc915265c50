"""The forecast of a programme, for scripts."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command


def answer(programme: str, *options: str) -> dict:
    out = StringIO()
    call_command("programme_cone", programme, "--json", *options, stdout=out)
    return json.loads(out.getvalue())


def test_a_programme_gets_its_cone():
    found = answer("60:1000,60:1222,0:10")

    # 60 °C/h to 1222 °C and 10 min: 6.65 (worked case)
    assert found["cone"] == "6"
    assert found["toward_next"] == pytest.approx(0.65, abs=0.02)
    assert found["peak_c"] == 1222
    assert found["hold_min"] == 10
    assert found["duration_h"] == pytest.approx((1222 - 20) / 60 + 1 / 6, abs=0.001)
    assert found["energy_kwh"] is None
    assert found["warnings"] == []
    assert found["read_as"] == {"programme": "60:1000,60:1222,0:10", "unit": "°C"}


def test_fahrenheit_says_the_same():
    assert (
        answer("108:1832,108:2231.6,0:10", "--unit", "F")["number"]
        == answer("60:1000,60:1222,0:10")["number"]
    )


def test_energy_and_cost():
    found = answer("60:1222", "--power", "11.52", "--price", "0.3")

    assert found["cost"]["value"] == pytest.approx(found["energy_kwh"]["value"] * 0.3, abs=0.02)


def test_words_for_people():
    out = StringIO()
    call_command("programme_cone", "fast:300,60:1222,0:10", "--power", "8", stdout=out)

    assert "cone 6, 65% of the way to the next" in out.getvalue()
    assert "energy" in out.getvalue()
    assert "taken as 250 °C/h" in out.getvalue()


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["60:1000,60-1222"], "Segment 2"),
        ([""], "Write a programme"),
        (["60:1222", "--power", "-3"], "--power"),
        (["60:1222", "--price", "nan"], "--price"),
        (["60:1222", "--start", "5000"], "--start"),
    ],
)
def test_what_is_no_programme_ends_with_one_line(arguments, words):
    with pytest.raises(CommandError, match=words) as refusal:
        call_command("programme_cone", *arguments)
    assert "\n" not in str(refusal.value)
