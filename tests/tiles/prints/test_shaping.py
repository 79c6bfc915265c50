"""Scripts beyond Latin, Greek and Cyrillic: read back from the PDF, and looked at where they are drawn."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.tiles.prints.reading import ink_mm, rendered, words
from tiles.prints import fonts, shaping
from tiles.prints.fit import Type, fit, flow
from tiles.prints.fonts import Typeface
from tiles.prints.marks import Layout
from tiles.prints.paper import laid_page, print_pages
from tiles.prints.stock import Box

# Invented names of glazes and bodies, and words of the trade, as people would write them.
WRITTEN = {
    "Japanese": "青磁釉 二度掛け、窯の右",
    "Chinese, simplified": "白瓷土 青釉三层",
    "Chinese, traditional": "白瓷土 青釉三層",
    "Korean": "청자 유약 세 번",
    "Arabic": "الطلاء الزجاجي الأخضر ثلاث طبقات",
    "Persian": "لعاب سبز می‌شود پخته",
    "Hebrew": "זיגוג ירוק שלוש שכבות",
    "Hindi": "सेलाडॉन ग्लेज़ क्षत्रिय श्री",
    "Bengali": "সবুজ গ্লেজ তিন স্তর",
    "Tamil": "பச்சை மெருகு மூன்று",
    "Thai": "เคลือบเขียว น้ำเคลือบ",
    "Georgian": "მწვანე მინანქარი",
    "Armenian": "կանաչ ջնարակ",
    "Amharic": "አረንጓዴ ሸክላ",
}


def printed(text: str, typeface: Typeface = Typeface.TEXT) -> bytes:
    layout = Layout("", 120, 30)
    layout.set("words", fit(text, Type(typeface, 14, 8), 110, 20), Box(5, 5, 110, 20))
    assert layout.notes == []
    return print_pages([laid_page(layout)], title="Words").pdf


@pytest.mark.parametrize("text", WRITTEN.values(), ids=WRITTEN)
@pytest.mark.parametrize("typeface", [Typeface.TEXT, Typeface.NARROW_BOLD])
def test_what_people_write_is_read_back_from_the_page(text, typeface):
    # readers write joiners, which are not to be seen, or leave them out
    assert words(printed(text, typeface)).replace("\u200c", "") == text.replace("\u200c", "")


@pytest.mark.parametrize("text", WRITTEN.values(), ids=WRITTEN)
def test_words_run_as_far_on_paper_as_they_were_measured(text):
    left, _, right, _ = ink_mm(rendered(printed(text), 600), 600, (0, 0, 120, 30))
    measured_mm = fonts.width_pt(text, Typeface.TEXT, 14) / 72 * 25.4

    assert right - left == pytest.approx(measured_mm, abs=1.2)


def test_arabic_letters_join():
    # Apart, the two letters take more room than joined, and their ink does not touch (UAX #9, OpenType 'init', 'fina').
    joined = fonts.width_pt("بب", Typeface.TEXT, 10)

    assert joined < 2 * fonts.width_pt("ب", Typeface.TEXT, 10)


def test_a_joined_word_is_one_stroke():
    ink = rendered(printed("ببب"), 300)
    columns = np.flatnonzero((ink < 128).any(axis=0))

    assert np.all(np.diff(columns) == 1)


def test_the_vowel_of_the_second_letter_is_drawn_before_the_first():
    # हि: the vowel sign i is read after its consonant and written before it (The Unicode Standard, 12.1)
    (run,) = fonts.runs("हि")
    first, *_ = shaping.glyphs(run)

    assert len(shaping.glyphs(run)) == 2
    assert first.index != shaping.glyphs(fonts.runs("ह")[0])[0].index


def test_arabic_runs_leftwards_within_a_latin_line():
    runs = fonts.runs("Harbour (لعاب) ×3")

    assert [run.text for run in runs if run.leftwards] == ["لعاب"]
    assert "".join(run.text for run in runs) == "Harbour (لعاب) ×3"


def test_brackets_are_turned_within_a_leftward_line():
    drawn = [run.text for run in fonts.runs("לעב (אדום)")]

    assert "".join(drawn) == "(אדום) לעב"


def test_figures_keep_their_order_in_a_leftward_line():
    assert "1220" in [run.text for run in fonts.runs("חום 1220 מעלות")]


def test_chinese_and_japanese_break_between_letters_but_not_before_a_full_stop():
    fitted = flow("釉薬のかけ方は二度掛け。", Type(Typeface.TEXT, 10, 10), 22, 40)

    assert len(fitted.lines) > 1
    assert "".join(fitted.lines) == "釉薬のかけ方は二度掛け。"
    assert not any(line.startswith("。") for line in fitted.lines)


def test_faces_are_read_only_when_a_text_needs_them():
    assert shaping.face_of("é") == ""
    assert shaping.face_of("ѐ") == ""


@pytest.mark.parametrize("face", sorted({face for _, _, face in shaping.RANGES}))
def test_every_face_has_letters_of_its_range(face):
    first, last = next((first, last) for first, last, name in shaping.RANGES if name == face)

    assert any(shaping.face_of(chr(code)) for code in range(first, last + 1))


def test_the_licences_lie_beside_the_faces():
    assert "Apache License" in (shaping.FOLDER / "Apache-2.0.txt").read_text()
    assert "SIL OPEN FONT LICENSE" in (shaping.FOLDER / "OFL.txt").read_text()


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=30))
def test_whatever_is_typed_is_printed_or_named(text):
    shown, missing = fonts.printable(text), fonts.missing_characters(text)
    layout = Layout("", 100, 40)
    layout.set("words", flow(text, Type(Typeface.TEXT, 10, 6), 90, 30), Box(5, 5, 90, 30))

    assert shown.count(fonts.NO_GLYPH) >= bool(missing)
    assert print_pages([laid_page(layout)], title="Any").pages == 1
