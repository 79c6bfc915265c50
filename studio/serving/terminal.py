"""What the person at the terminal reads."""

from datetime import timedelta
from io import StringIO

import segno

# White on black, whatever the terminal's own colours are: some cameras read no inverted code.
ON_BLACK, PLAIN = "\x1b[97;40m", "\x1b[0m"


def running(address: str, sign_in: str, lives: timedelta, to_stop: str = "Ctrl-C") -> str:
    """The words once the studio runs.

    address : what to open
    sign_in : a one-time link of the keeper
    lives : how long that link opens
    """
    minutes = int(lives.total_seconds() // 60)
    return (
        "\nTilewright is running.\n\n"
        f"  Open     {address}\n"
        f"  Sign in  {sign_in}\n"
        f"           works once, within {minutes} minutes\n"
        f"  Stop     {to_stop}\n"
    )


def code_for(address: str, colours: bool) -> str:
    """The address as a QR code (ISO/IEC 18004) of block characters."""
    drawn = StringIO()
    segno.make(address, micro=False, error="m").terminal(drawn, border=2, compact=True)
    lines = drawn.getvalue().splitlines()
    return "\n".join(f"  {ON_BLACK}{line}{PLAIN}" if colours else f"  {line}" for line in lines)
