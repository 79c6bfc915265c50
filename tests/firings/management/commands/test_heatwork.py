"""The command for scripts: one JSON object, or one clear line and a non-zero end."""

import json
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from tests.firings.curves import shapes

ROOT = Path(__file__).parents[4]


def answer(path, *options) -> dict:
    out = StringIO()
    call_command("heatwork", str(path), "--json", *options, stdout=out)
    assert out.getvalue().count("\n") == 1
    return json.loads(out.getvalue())


@pytest.fixture
def written(tmp_path):
    def write(name: str) -> Path:
        path = tmp_path / f"{name}.csv"
        path.write_bytes(shapes.SHAPES[name]().data)
        return path

    return write


def test_a_file_gets_its_cone(written):
    found = answer(written("seconds_and_celsius"))

    # 60 °C/h to 1222 °C and 15 min: 6.87 (worked case)
    assert found["cone"] == "6"
    assert found["toward_next"] == pytest.approx(0.87, abs=0.02)
    assert found["peak_c"] == pytest.approx(1222, abs=0.1)
    assert found["hold_min"] == pytest.approx(15, abs=1.5)
    assert found["interval"]["low"] < 6.87 < found["interval"]["high"]
    assert found["with_cooling"]["number"] > 6.87
    assert found["read_as"]["unit"] == "°C"
    assert found["read_as"]["time_base"] == "elapsed, in s, by its name"
    assert [column["role"] for column in found["read_as"]["columns"]] == [
        "time",
        "temperature, °C, by its name",
    ]
    assert isinstance(found["warnings"], list)


def test_cones_with_a_nought_keep_it(tmp_path):
    path = tmp_path / "bisque.csv"
    rows = [f"{minute},{min(20 + minute, 1063)}" for minute in range(1100)]
    path.write_text("\n".join(["min,kiln °C", *rows]))

    assert answer(path)["cone"] in ("05", "04")


def test_a_cool_firing_has_no_cone(tmp_path):
    path = tmp_path / "drying.csv"
    path.write_text("\n".join(["min,kiln °C", *(f"{minute},{20 + minute}" for minute in range(500))]))
    found = answer(path)

    assert found["cone"] is None
    assert found["toward_next"] == 0
    assert any("019" in words for words in found["warnings"])


def test_several_sensors_are_told_one_by_one(written):
    found = answer(written("three_zones_in_fahrenheit_with_count_of_rows"))

    assert {name: sensor["cone"] for name, sensor in found["sensors"].items()} == {
        "TC1 (F)": "6",
        "TC2 (F)": "6",
        "TC3 (F)": "7",
    }


def test_the_order_of_the_sensors_does_not_matter(written, tmp_path):
    lines = written("three_zones_in_fahrenheit_with_count_of_rows").read_text().splitlines()
    turned = tmp_path / "turned.csv"
    turned.write_text("\n".join(",".join([*(cells := line.split(","))[:2], *cells[:1:-1]]) for line in lines))

    one, other = answer(written("three_zones_in_fahrenheit_with_count_of_rows")), answer(turned)

    assert one.pop("read_as") != other.pop("read_as")
    assert one.pop("sensors").keys() == other.pop("sensors").keys()
    assert one == other


def test_a_person_can_correct_the_reading(tmp_path):
    path = tmp_path / "odd.csv"
    path.write_text("\n".join(f"{s / 60:.0f};{shapes.fahrenheit(t):.1f}" for s, t in shapes.rows()))

    found = answer(path, "--unit", "F", "--time-unit", "min", "--time-column", "1", "--sensors", "2")

    assert found["cone"] == "6"
    assert found["read_as"]["guesses"] == []


def test_words_for_people(written):
    out = StringIO()
    call_command("heatwork", str(written("unit_in_the_heading")), stdout=out)

    assert "cone 6, 87% of the way to the next" in out.getvalue()
    assert "read as °F" in out.getvalue()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"PK\x03\x04", "CSV"),
        (b"Dear all", "No table"),
        (b"s,set point\n0,20\n60,900\n120,1000", "set point"),
    ],
)
def test_what_holds_no_curve_ends_with_one_line(data, words, tmp_path):
    path = tmp_path / "log.csv"
    path.write_bytes(data)

    with pytest.raises(CommandError, match=words) as refusal:
        answer(path)
    assert "\n" not in str(refusal.value)


def test_a_file_that_is_not_there_is_named(tmp_path):
    with pytest.raises(CommandError, match=r"nothing\.csv: No such file"):
        answer(tmp_path / "nothing.csv")
    with pytest.raises(CommandError, match="directory"):
        answer(tmp_path)


def test_columns_are_counted_from_one(written):
    with pytest.raises(CommandError, match="names no columns"):
        answer(written("seconds_and_celsius"), "--sensors", "0")
    with pytest.raises(CommandError, match="has 2 columns"):
        answer(written("seconds_and_celsius"), "--sensors", "9")


def test_the_exit_codes(tmp_path):
    bad = tmp_path / "letter.txt"
    bad.write_text("Dear all")

    run = subprocess.run(
        [sys.executable, "manage.py", "heatwork", str(bad), "--json"],
        cwd=ROOT,
        capture_output=True,
        text=True,
    )

    assert run.returncode != 0
    assert run.stdout == ""
    assert len(run.stderr.strip().splitlines()) == 1


def test_heat_work_needs_no_django():
    code = (
        "import sys, pkgutil, importlib\n"
        "for folder in ('heatwork', 'curves', 'programmes', 'cones'):\n"
        "    package = importlib.import_module(f'firings.{folder}')\n"
        "    for module in pkgutil.iter_modules(package.__path__):\n"
        "        if module.name in PURE[folder]:\n"
        "            importlib.import_module(f'firings.{folder}.{module.name}')\n"
        "assert 'firings.heatwork.equivalent' in sys.modules and 'firings.curves.reading' in sys.modules\n"
        "assert not any(name.split('.')[0] == 'django' for name in sys.modules)\n"
    )
    roles = {"admin", "forms", "queries", "services", "tasks", "urls", "views", "http", "filters"}
    pure = {
        folder: sorted({path.stem for path in (ROOT / "firings" / folder).glob("*.py")} - roles)
        for folder in ("heatwork", "curves", "programmes", "cones")
    }

    run = subprocess.run(
        [sys.executable, "-c", f"PURE = {pure!r}\n{code}"], cwd=ROOT, capture_output=True, text=True
    )

    assert run.returncode == 0, run.stderr
