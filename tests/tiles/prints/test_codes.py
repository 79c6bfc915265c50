"""QR codes of tiles, checked against ISO/IEC 18004 through another maker of codes."""

import numpy as np
import pytest
import segno
from hypothesis import assume, given
from hypothesis import strategies as st

from tiles.prints import codes

LAN = "http://192.168.178.123:8000"


def matrix(symbol: codes.Symbol) -> np.ndarray:
    dark = np.zeros((symbol.modules, symbol.modules), bool)
    for x, y, length in symbol.runs:
        dark[y, x : x + length] = True
    return dark


def made_by_segno(content: str) -> list[np.ndarray]:
    """The code as an independent program makes it from ISO/IEC 18004, with each of the eight masks."""
    made = (
        segno.make_qr(content, error="m", boost_error=False, mask=mask, encoding="utf-8") for mask in range(8)
    )
    return [np.array(code.matrix, bool) for code in made]


def ends_on_a_codeword(content: str) -> bool:
    """Whether the bits of a version 1 to 9 alphanumeric symbol, terminator included, fill whole codewords.

    There the two must differ: ISO/IEC 18004, 7.4.10 asks for no padding bits then, and segno 1.6 adds eight.
    """
    pairs, single = divmod(len(content), 2)
    return (4 + 9 + 11 * pairs + 6 * single + 4) % 8 == 0


HOSTS = st.from_regex(r"[A-Z][A-Z.-]{0,30}[A-Z]", fullmatch=True)


@given(HOSTS, st.integers(0, 9_999), st.integers(0, 9))
def test_codes_are_those_of_the_standard(host, number, check):
    content = f"HTTPS://{host}/T/{number}-{check}"
    assume(not ends_on_a_codeword(content))
    ours = matrix(codes.symbol(content))

    assert any(np.array_equal(ours, theirs) for theirs in made_by_segno(content))


def test_the_code_of_an_address_in_figures_is_that_of_the_standard():
    content = codes.tile_address(LAN, "1042-9")

    assert any(np.array_equal(matrix(codes.symbol(content)), theirs) for theirs in made_by_segno(content))


@pytest.mark.parametrize("address", ["http://[fd00::1]:8000", "https://glaze.example/Our/studio"])
def test_a_mixed_address_takes_no_more_modules_than_one_mode_would(address):
    content = codes.tile_address(address, "1042-9")

    assert codes.symbol(content).modules <= len(made_by_segno(content)[0])


def test_capitals_make_a_smaller_code():
    # ISO/IEC 18004: alphanumeric mode packs two characters in 11 bits, byte mode one in 8.
    assert codes.symbol(codes.tile_address(LAN, "1042-9")).modules == 25
    assert codes.symbol(f"{LAN}/T/1042-9").modules == 29


def test_only_the_letters_whose_case_does_not_matter_are_changed():
    address = codes.tile_address("https://Glaze.Example:8443/Our-Studio/", "1042-9")

    assert address == "HTTPS://GLAZE.EXAMPLE:8443/Our-Studio/T/1042-9"


def test_a_host_beyond_ascii_is_written_as_browsers_send_it():
    assert (
        codes.tile_address("http://töpferei.example:8000", "7-1")
        == "HTTP://XN--TPFEREI-90A.EXAMPLE:8000/T/7-1"
    )


def test_a_code_of_three_dots_a_module_at_203_dpi_gives_no_warning():
    content = codes.tile_address(LAN, "1042-9")
    # 25 modules and 4 of quiet zone on each side, at 3/203 inch each
    least_mm = (25 + 8) * 3 / 203 * 25.4

    assert codes.least_side_mm(content) == pytest.approx(least_mm)
    assert codes.warning(content, least_mm) == ""


def test_a_finer_code_is_warned_of_with_a_way_out():
    warning = codes.warning(codes.tile_address(LAN, "1042-9"), 10)

    assert "0.30 mm" in warning
    assert "12 mm" in warning


def test_a_code_is_one_path_whatever_its_size():
    drawing = codes.drawing(codes.tile_address(LAN, "1042-9"), 0, 0, 50)

    assert drawing.startswith("q ")
    assert drawing.endswith(" f Q")
    assert drawing.count(" f ") == 1
