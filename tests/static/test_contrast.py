"""Words can be read on every ground, in both themes (WCAG 2.2, success criteria 1.4.3 and 1.4.11)."""

import re
from pathlib import Path

import pytest

TOKENS = Path(__file__).resolve().parents[2] / "static" / "css" / "tokens.css"

GROUNDS = ["paper", "raised", "sunk"]
INKS = ["ink", "ink-soft", "accent", "accent-strong", "warn", "bad", "good"]
WORDS = [(ink, ground) for ink in INKS for ground in GROUNDS] + [
    ("accent-ink", "accent"),
    ("accent-ink", "accent-strong"),
    ("chosen-ink", "chosen"),
    ("on-surround", "surround"),
    ("on-surround", "surround-deep"),
    ("paper", "bad"),
]
# What shows that a control is a control, or that it is chosen or in focus.
EDGES = [(edge, ground) for edge in ["edge", "accent", "chosen"] for ground in GROUNDS]


def blocks() -> list[dict[str, str]]:
    """The colours of each rule of the sheet, in the sheet's order: light, dark by device, dark by choice."""
    sheet = re.sub(r"/\*.*?\*/", "", TOKENS.read_text(), flags=re.S)
    rules = re.findall(r":root[^{]*\{([^}]*)\}", sheet)
    return [dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{6})\s*;", rule)) for rule in rules]


LIGHT, DARK_BY_DEVICE, DARK_BY_CHOICE = blocks()
THEMES = {"light": LIGHT, "dark": LIGHT | DARK_BY_CHOICE}


def relative_luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour (WCAG 2.2, definition of relative luminance)."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, 1 to 21 (WCAG 2.2, definition of contrast ratio)."""
    dark, light = sorted([relative_luminance(one), relative_luminance(other)])
    return (light + 0.05) / (dark + 0.05)


def test_contrast_of_black_on_white_is_21():
    # WCAG 2.2, definition of contrast ratio: "can range from 1 to 21"
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#ffffff", "#ffffff") == pytest.approx(1)


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize(("words", "ground"), WORDS)
def test_words_stand_out_from_their_ground(theme, words, ground):
    # WCAG 2.2, 1.4.3 Contrast (Minimum), level AA
    colours = THEMES[theme]

    assert contrast(colours[words], colours[ground]) >= 4.5


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize(("edge", "ground"), EDGES)
def test_edges_of_controls_stand_out(theme, edge, ground):
    # WCAG 2.2, 1.4.11 Non-text Contrast, level AA
    colours = THEMES[theme]

    assert contrast(colours[edge], colours[ground]) >= 3


def test_dark_is_the_same_by_device_and_by_choice():
    assert DARK_BY_DEVICE == DARK_BY_CHOICE
    assert {"ink", "paper", "accent"} <= DARK_BY_CHOICE.keys()


@pytest.mark.parametrize("theme", THEMES)
def test_photos_lie_on_neutral_mid_grey(theme):
    # ISO 3664 practice: a neutral, matt surround. Mid grey of 18 % reflectance is L* 49.5 (CIE 1976 L*).
    grey = THEMES[theme]["surround"]

    assert len({grey[1:3], grey[3:5], grey[5:7]}) == 1
    assert relative_luminance(grey) == pytest.approx(0.18, abs=0.01)


def test_the_surround_is_the_same_in_both_themes():
    assert "surround" not in DARK_BY_CHOICE
