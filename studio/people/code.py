"""A link drawn as a QR code for the screen."""

import segno


def code_svg(url: str, words: str) -> str:
    """An SVG of the QR code (ISO/IEC 18004), black on white in both themes, named `words` for who can't see it."""
    code = segno.make(url, micro=False, error="m")
    return code.svg_inline(
        scale=5, border=4, dark="#000", light="#fff", title=words, svgclass=None, lineclass=None
    )
