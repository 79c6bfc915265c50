"""Words in a box: shrunk, then wrapped, then reported."""

from hypothesis import given
from hypothesis import strategies as st

from tiles.prints import fonts
from tiles.prints.fit import ELLIPSIS, PT_PER_MM, Type, fit, flow
from tiles.prints.fonts import Typeface

KIND = Type(Typeface.NARROW, 10, 6)
WORDS = st.lists(st.text("abcdefgh×·+0123456789ßЖωé-", min_size=1, max_size=30), min_size=0, max_size=25).map(
    " ".join
)
BOXES = st.tuples(st.floats(2, 90), st.floats(1, 40))


def squeezed(text: str) -> str:
    """Without the spaces, at which lines may break or not, and without the sign that more was meant to follow."""
    return "".join(text.replace("\xa0", " ").replace(ELLIPSIS, "").split())


@given(WORDS, BOXES)
def test_nothing_is_lost(text, box):
    for fitted in (fit(text, KIND, *box), flow(text, KIND, *box)):
        assert squeezed("".join(fitted.lines) + fitted.overflow) == squeezed(fonts.plain(text))


@given(WORDS, BOXES)
def test_what_is_drawn_lies_in_the_box(text, box):
    for fitted in (fit(text, KIND, *box), flow(text, KIND, *box)):
        assert fitted.width_mm <= box[0] + 0.02 or fitted.lines == (ELLIPSIS,)
        assert fitted.height_mm <= box[1] + 0.02
        assert KIND.floor_pt <= fitted.size_pt <= KIND.size_pt


@given(WORDS, BOXES)
def test_a_cut_is_seen_on_paper_and_told(text, box):
    fitted = flow(text, KIND, *box)

    if fitted.overflow and fitted.lines:
        assert fitted.lines[-1].endswith(ELLIPSIS)
    if not fitted.overflow:
        assert not any(line.endswith(ELLIPSIS) for line in fitted.lines)


@given(WORDS, st.floats(30, 90), st.floats(4, 40))
def test_a_larger_box_never_shows_less(text, width_mm, height_mm):
    small, large = (flow(text, KIND, width_mm * k, height_mm * k) for k in (1, 1.3))

    assert len(large.overflow) <= len(small.overflow)


def test_a_word_that_fits_keeps_its_size():
    fitted = fit("1042-9", Type(Typeface.BOLD, 20, 8), 60, 20)

    assert fitted.lines == ("1042-9",)
    assert fitted.size_pt == 20


def test_words_shrink_before_they_wrap():
    width_mm = fonts.width_pt("Winter Orchard", KIND.typeface, 8) / PT_PER_MM
    fitted = fit("Winter Orchard", KIND, width_mm, 20)

    assert fitted.lines == ("Winter Orchard",)
    assert abs(fitted.size_pt - 8) < 0.01


def test_words_wrap_when_the_floor_is_not_small_enough():
    width_mm = fonts.width_pt("Winter Orchard", KIND.typeface, 5) / PT_PER_MM
    fitted = fit("Winter Orchard", KIND, width_mm, 20)

    assert fitted.lines == ("Winter", "Orchard")
    assert fitted.overflow == ""


def test_a_sentence_wraps_at_its_size_when_there_is_room():
    fitted = flow("Glossy, breaking to honey over the texture.", KIND, 30, 30)

    assert fitted.size_pt == 10
    assert len(fitted.lines) == 3


def test_what_has_no_room_is_handed_back():
    fitted = flow("Winter Orchard over Harbour over Flux L over Iron Wash", KIND, 20, 5)

    assert fitted.size_pt == KIND.floor_pt
    assert fitted.lines[-1].endswith("…")
    assert fitted.overflow.endswith("Iron Wash")


def test_coats_stay_with_their_glaze_and_numbers_with_their_unit():
    fitted = flow("Harbour ×2 + Winter Orchard ×3, run 2 mm, cone 5½, 10 min hold", KIND, 18, 60)
    lines = [line.replace("\xa0", " ") for line in fitted.lines]

    assert not any(line.startswith(("×", "mm", "5½", "min")) or line.endswith("+") for line in lines)


def test_a_letter_that_ends_a_glazes_name_stays_with_it():
    """A line that begins with "L ×1" reads as a glaze called L."""
    fitted = flow("Harbour ×3 + Flux L ×1", KIND, 30, 60)

    assert [line.replace("\xa0", " ") for line in fitted.lines] == ["Harbour ×3", "+ Flux L ×1"]


def test_a_word_longer_than_the_line_is_broken_not_lost():
    fitted = flow("Donaudampfschifffahrtsgesellschaftsglasur", KIND, 12, 30)

    assert "".join(fitted.lines) == "Donaudampfschifffahrtsgesellschaftsglasur"


def test_letters_without_a_glyph_are_told():
    fitted = fit("🏺 Harbour", KIND, 60, 10)

    assert fitted.missing == "🏺"
    assert fitted.lines == ("▯ Harbour",)


def test_no_words_take_no_room():
    fitted = fit("", KIND, 60, 10)

    assert fitted.lines == ()
    assert fitted.height_mm == 0
