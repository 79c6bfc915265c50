"""The faces of the printed pages."""

import pytest

from tiles.prints import fonts
from tiles.prints.fonts import Typeface


@pytest.mark.parametrize("typeface", Typeface)
def test_all_figures_have_one_width(typeface):
    widths = {fonts.width_pt(figure, typeface, 10) for figure in "0123456789"}

    assert len(widths) == 1


@pytest.mark.parametrize(
    "words",
    [
        "Harbour ×3 + Flux L ×1, 5½ · 10 min – “satin” … 1220 °C ± 5 − 3 ≥ 2 → 0,5 mm²",
        "Größe Ærø Łódź Çığ Őrség Ħal Kārlis Þór Ňaňa",
        "Κεραμική γλάζα",
        "Глазурь ёлка Ўзбек Ђурђев",
        "Gốm men xanh",
    ],
)
@pytest.mark.parametrize("typeface", Typeface)
def test_latin_greek_and_cyrillic_are_printed_in_every_face(words, typeface):
    assert fonts.missing_characters(words) == ""
    assert all(ord(letter) in fonts.font(typeface).face.charToGlyph for letter in fonts.plain(words))


def test_letters_that_no_face_has_are_named():
    assert fonts.missing_characters("Tenmoku 天目 🏺 and \u1400") == "🏺\u1400"
    assert fonts.printable("🏺 brown") == "▯ brown"


def test_an_accent_written_apart_joins_its_letter():
    assert fonts.plain("Gre\u0301s") == "Grés"
    assert fonts.missing_characters("Gre\u0301s") == ""


def test_an_accent_that_joins_no_letter_is_named():
    # No composed character exists for q with diaeresis.
    assert fonts.missing_characters("q\u0308") == "\u0308"


def test_line_breaks_tabs_and_unseen_marks_print_as_nothing_odd():
    assert fonts.plain("two\nlines\tand\u200b a\u00ad \u202emark\ufeff") == "two lines and a mark"


def test_missing_sign_is_itself_in_every_face():
    assert all(ord(fonts.NO_GLYPH) in fonts.font(typeface).face.charToGlyph for typeface in Typeface)


def test_the_licence_lies_beside_the_fonts():
    assert "SIL OPEN FONT LICENSE Version 1.1" in (fonts.FOLDER / "OFL.txt").read_text()
