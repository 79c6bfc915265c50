"""What is asked for wrongly ends with one clear line for people, nothing for the script, and a non-zero code."""

import os
import zipfile
from pathlib import Path

import pytest

from firings.management.commands import heatwork, programme_cone, recompute_heat
from tests.firings.curves import shapes

COMMANDS = {"heatwork": heatwork, "programme_cone": programme_cone, "recompute_heat": recompute_heat}


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch) -> Path:
    """Files of all kinds to be had wrongly."""
    monkeypatch.chdir(tmp_path)
    Path("good.csv").write_bytes(shapes.SHAPES["seconds_and_celsius"]().data)
    Path("empty.csv").touch()
    Path("letter.txt").write_text("Dear all\n")
    Path("bytes.dat").write_bytes(os.urandom(3000))
    Path("noughts.csv").write_bytes(b"s,C\n0,20\n60,\x00\n" * 50)
    Path("half.csv").write_bytes(b"\xff\xfe\x00")
    Path("one_row.csv").write_text("s,kiln C\n0,20\n")
    Path("cold.csv").write_text("s,kiln C\n0,20\n60,30\n120,40\n")
    Path("page.html").write_text("<html><body>1222</body></html>")
    Path("one_line.csv").write_text("s,C\n" + "1" * 200_000)
    Path("kelvin.csv").write_text("\n".join(["s,kiln K", *(f"{60 * m}K,{300 + m}K" for m in range(900))]))
    with zipfile.ZipFile("torn.xlsx", "w") as torn:
        torn.writestr("xl/workbook.xml", "<workbook/>")
    Path("false.xlsx").write_bytes(b"PK\x03\x04" + os.urandom(500))
    Path("here.csv").mkdir()
    return tmp_path


def refusal(capsys, *arguments: str) -> str:
    """The one line a command ends with."""
    with pytest.raises(SystemExit) as end:
        COMMANDS[arguments[0]].Command().run_from_argv(["manage.py", *arguments])
    said = capsys.readouterr()

    assert end.value.code not in (0, None)
    assert said.out == ""
    (line,) = said.err.strip().splitlines()
    assert "Traceback" not in line
    return line


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ([], "required: file"),
        ([""], "directory"),
        (["nothing.csv"], "No such file"),
        (["here.csv"], "directory"),
        (["x" * 5000], "too long"),
        (["/dev/zero"], "a device"),
        (["empty.csv"], "is empty"),
        (["letter.txt"], "No table"),
        (["bytes.dat"], "bytes.dat: "),
        (["noughts.csv"], "no text"),
        (["half.csv"], "half.csv: "),
        (["one_row.csv"], "hardly any readings"),
        (["cold.csv"], "never above"),
        (["page.html"], "No table"),
        (["one_line.csv"], "No table"),
        (["kelvin.csv"], "kelvin"),
        (["torn.xlsx"], "torn.xlsx: "),
        (["false.xlsx"], "false.xlsx: "),
        (["good.csv", "good.csv"], "unrecognized"),
        (["good.csv", "--unit", "K"], "invalid choice"),
        (["good.csv", "--time-column", "99"], "has 2 columns"),
        (["good.csv", "--sensors", "warm"], "names no columns"),
        (["good.csv", "--sensors", "1"], "No column looks like"),
        (["good.csv", "--sensor-error", "nan"], "out of range"),
        (["good.csv", "--sensor-error", "-1"], "out of range"),
        (["good.csv", "--offset", "inf"], "out of range"),
        (["good.csv", "--offset", "5000"], "out of range"),
        (["good.csv", "--every", "0"], "out of range"),
    ],
    ids=lambda one: " ".join(one)[:40] if isinstance(one, list) else "",
)
def test_a_log_that_says_nothing(arguments, words, capsys):
    assert words in refusal(capsys, "heatwork", *arguments, "--json")


@pytest.mark.parametrize(
    ("programme", "words"),
    [
        ([], "required: programme"),
        ([""], "Write a programme"),
        ([" , ; "], "Write a programme"),
        (["abc"], "no segment"),
        (["60"], "no segment"),
        (["60:"], "not a temperature"),
        (["60:1222:"], "not a hold"),
        (["0:10"], "needs a ramp before it"),
        (["60:1222,0:10:5"], "nothing more"),
        (["60:1222,60:1222"], "stays at"),
        (["60:1000,-60:1222"], "does not lead up"),
        (["60:99999"], "no temperature for a kiln"),
        (["60:-100"], "no temperature for a kiln"),
        (["60:nan"], "not a temperature"),
        (["1e9:1222"], "not a rate"),
        (["90000:1222"], "no rate for a kiln"),
        (["60:1222,0:99999999"], "longer than"),
        (["60F:1222C"], "different units"),
        (["١٢:1222"], "not a rate"),
        (["60:1222", "--unit", "K"], "invalid choice"),
        (["60:1222", "--power", "inf"], "out of range"),
        (["60:1222", "--start", "nan"], "out of range"),
    ],
)
def test_a_programme_that_is_none(programme, words, capsys):
    assert words in refusal(capsys, "programme_cone", *programme, "--json")


@pytest.mark.django_db
@pytest.mark.parametrize("number", ["seven", "7", "-1", "9" * 25])
def test_a_firing_that_is_not_there(number, capsys):
    assert "firing" in refusal(capsys, "recompute_heat", f"--firing={number}")
