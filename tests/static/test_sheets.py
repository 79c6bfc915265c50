"""The style sheets keep to their own rules, so that one place decides how the product looks."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SHEETS = sorted((ROOT / "static" / "css").glob("*.css"))
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
ICON_SHEET = ROOT / "static" / "icons" / "icons.svg"


def rules_of(sheet: Path) -> str:
    """A sheet without its comments."""
    return re.sub(r"/\*.*?\*/", "", sheet.read_text(), flags=re.S)


def icons_asked_for() -> set[str]:
    """The icon names written out in any template."""
    asked = r'{% icon "([\w-]+)"|\bicon="([\w-]+)"'
    return {a or b for page in TEMPLATES for a, b in re.findall(asked, page.read_text())}


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.name)
def test_no_sheet_shouts(sheet):
    assert "!important" not in rules_of(sheet)


@pytest.mark.parametrize(
    "sheet", [s for s in SHEETS if s.name not in ("tokens.css", "print.css")], ids=lambda s: s.name
)
def test_colours_are_named_in_the_tokens_only(sheet):
    values = re.findall(r":\s*([^;{}]+);", rules_of(sheet))

    assert [value for value in values if re.search(r"#[0-9a-fA-F]{3,8}\b|\brgba?\(|\bhsla?\(", value)] == []


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.name)
def test_every_token_used_is_declared(sheet):
    declared = set(re.findall(r"(--[\w-]+)\s*:", "".join(map(rules_of, SHEETS))))

    assert set(re.findall(r"var\((--[\w-]+)", rules_of(sheet))) <= declared


def test_every_icon_asked_for_is_drawn():
    drawn = set(re.findall(r'<symbol id="([\w-]+)"', ICON_SHEET.read_text()))

    assert icons_asked_for() - drawn == set()
    assert {"tile", "kiln", "camera"} <= drawn


def test_no_page_carries_inline_style_or_script():
    # the content security policy would leave them without effect
    broken = r"<style|\sstyle=|\son[a-z]+=\"|<script(?![^>]*\bsrc=)|hx-on|javascript:"

    assert [page.name for page in TEMPLATES if re.search(broken, page.read_text())] == []
