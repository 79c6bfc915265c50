"""What the person at the terminal reads, and what their phone reads there."""

from datetime import timedelta

import pytest
import zxingcpp
from PIL import Image

from studio.serving import terminal

PIXELS = 6


def drawn(code: str) -> Image.Image:
    """The terminal's picture: each character is two modules, one above the other; a block is light."""
    rows = code.splitlines()
    picture = Image.new("L", (max(map(len, rows)), 2 * len(rows)), 0)
    for y, row in enumerate(rows):
        for x, character in enumerate(row):
            picture.putpixel((x, 2 * y), 255 * (character in "█▀"))
            picture.putpixel((x, 2 * y + 1), 255 * (character in "█▄"))
    return picture.resize((picture.width * PIXELS, picture.height * PIXELS), Image.Resampling.NEAREST)


@pytest.mark.parametrize(
    "address", ["http://192.168.1.20:8000", "https://kiln.example/a-longer-name-of-a-studio"]
)
def test_a_phone_reads_the_address_off_the_terminal(address):
    # ISO/IEC 18004, read back by a decoder that knows nothing of the one who drew it.
    code = terminal.code_for(address, colours=False)

    assert zxingcpp.read_barcode(drawn(code)).text == address


def test_the_code_is_white_on_black_whatever_the_terminals_colours():
    lines = terminal.code_for("http://192.168.1.20:8000", colours=True).splitlines()

    assert all(
        line.lstrip().startswith(terminal.ON_BLACK) and line.endswith(terminal.PLAIN) for line in lines
    )


def test_the_words_say_where_to_look_how_to_come_in_and_how_to_stop():
    words = terminal.running(
        "http://127.0.0.1:8000/", "http://127.0.0.1:8000/come-in/abc/", timedelta(minutes=30)
    )

    assert "http://127.0.0.1:8000/come-in/abc/" in words
    assert "once, within 30 minutes" in words
    assert "Ctrl-C" in words
