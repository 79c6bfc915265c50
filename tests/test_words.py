"""One language on all screens, prints and commands: the trade's words, British spelling, nothing shouted."""

import re

import pytest

from tests.words import GAP, Said, all_words, of_python, of_template

WORDS = all_words()

# What other people write, and is read here.
OTHERS_WRITE = (
    "firings/curves/cells.py",
    "firings/curves/roles.py",
    "firings/curves/sheetcells.py",
    "firings/curves/titles.py",
    "studio/importing/cells.py",
    "studio/importing/columns.py",
    "studio/importing/fields.py",
)
# For those who write programs, or run the machine.
FOR_PROGRAMMERS = (
    "studio/api/",
    "templates/studio/api/",
    "/management/commands/",
    "studio/trouble/",
    "studio/serving/",
)
# Rules of typesetting list the marks themselves.
MARKS = ("tiles/prints/shaping.py",)


def saying(pattern: str, *, but_for: tuple[str, ...] = ()) -> list[Said]:
    told = re.compile(pattern)
    return [
        said for said in WORDS if told.search(said.words) and not any(part in said.where for part in but_for)
    ]


def test_the_words_of_all_screens_are_listed():
    assert len(WORDS) > 3_000
    assert any(said.words == "Keep the cones" for said in WORDS)
    assert any("slip of the pen" in said.words or "check digit" in said.words for said in WORDS)


def test_nothing_is_shouted():
    assert saying(r"\w!(\s|$|”)", but_for=(*OTHERS_WRITE, *MARKS)) == []


@pytest.mark.parametrize(
    "american",
    [
        r"(?<!CSS )(?<!prefers-)\b[Cc]olor(s|ed|ing|less)?\b",
        r"\b[Gg]r[a]y(s|ed|ish)?\b",
        r"\b[Cc]enter(s|ed)?\b",
        r"\b[Cc]atalogs?\b",
        r"\b[Mm]old(s|ed)?\b",
        r"\b[Ff]avorites?\b",
        r"\b[Ll]abeled\b",
        r"\b[Cc]ancell?ation\b|\b[Cc]anceled\b",
        r"\b(millimeter|centimeter|liter)s?\b",
        r"\b(organiz|recogniz|summariz|initializ|analyz)\w+",
    ],
)
def test_spelling_is_british(american):
    assert saying(american, but_for=OTHERS_WRITE) == []


@pytest.mark.parametrize(
    ("other", "ours"),
    [
        (r"\b[Mm]atte\b", "matt"),
        (r"\b[Bb]iscuit\b", "bisque"),
        (r"\b[Dd]well(s|ing)?\b|\b[Ss]oak(s|ing)? (at|of|for|time)\b", "hold"),
        (r"\b[Ff]iring schedules?\b", "programme"),
        (r"\b[Tt]est results\b", "results"),
        (r"\b[Ff]ood[- ]?safe\b|\b[Dd]innerware safe\b", "leach-tested: date, laboratory, limit"),
    ],
)
def test_a_thing_of_the_trade_has_one_name(other, ours):
    assert saying(other, but_for=OTHERS_WRITE) == [], ours


@pytest.mark.parametrize(
    "jargon",
    [
        r"\b[Cc]lick(s|ed|ing)?\b",
        r"\b([Dd]ropdown|[Cc]heckbox|[Dd]ashboard|[Ww]idget|[Tt]humbnail|[Tt]ooltip)s?\b",
        r"\b[Ss]ubmit(s|ted)?\b",
        r"\b([Uu]p|[Dd]own)load(s|ed|ing)?\b",
        r"\b[Ll]og ?(in|out)\b(?!’| the)",
        r"\b[Ii]nvalid\b",
        r"\b[Uu]sers?\b(?! may)",
        r"\b[Ee]rror\b",
        r"\b[Dd]eleted?\b",
    ],
)
def test_screens_speak_of_the_work_and_not_of_software(jargon):
    on_screens = [
        said for said in saying(jargon, but_for=FOR_PROGRAMMERS) if said.where.startswith("templates/")
    ]

    assert on_screens == []


def test_changing_a_record_and_looking_at_its_past_have_one_name_each():
    on_buttons = [said for said in WORDS if said.where.startswith("templates/")]

    assert [said for said in on_buttons if re.match(r"(Edit|Changes)\b(?! of)", said.words)] == []


def test_a_record_is_kept_and_a_file_is_saved():
    """One verb for each: what goes into the logbook is kept; a copy for one's own device, and a search, is saved."""
    on_buttons = [said for said in WORDS if said.where.startswith("templates/")]

    saved = [said for said in on_buttons if re.match(r"(Save|Record)\b", said.words)]
    told = saying(r"\b(is|are) saved[.:]|… is entered\.")

    assert {said.words for said in saved} == {
        f"Save {GAP}",  # a package, by its name
        f"Save a copy of {GAP}",
        "Save a copy",
        "Save a copy of the original",
        "Save all messages as a table",
        "Save this search",
    }
    assert told == []


def test_an_apostrophe_on_a_page_or_in_a_terminal_is_a_curved_one():
    assert saying(r"[^\W\d_]'(s|t|re|ll|ve|d)?\b") == []


def test_words_are_found_in_text_in_attributes_and_in_tags_but_not_in_comments(tmp_path, monkeypatch):
    monkeypatch.setattr("tests.words.ROOT", tmp_path)
    page = tmp_path / "page.html"
    page.write_text(
        '{# Not this one #}<p>Put <b>{{ count }} tiles</b> in</p><img alt="A tile">'
        '{% include "x.html" with words="Mind the kiln" %}<script>var no = "nor this";</script>'
    )

    assert {said.words for said in of_template(page)} == {"Put … tiles in", "A tile", "Mind the kiln"}


def test_words_are_found_in_python_but_not_in_docstrings_or_code(tmp_path, monkeypatch):
    monkeypatch.setattr("tests.words.ROOT", tmp_path)
    module = tmp_path / "module.py"
    module.write_text('"""Not this one."""\nname = "tiles:tray"\nsaid = f"Tile {name} is filed."\n')

    assert [said.words for said in of_python(module)] == ["Tile … is filed."]
