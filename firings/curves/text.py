"""The bytes of a logger's text file as text, or a refusal that says what to export instead."""

from dataclasses import dataclass

LARGEST_BYTES = 256 * 1024 * 1024
LOCKED = (
    "The spreadsheet is protected by a password. Take it off and save it again, or save the sheet as CSV."
)


class UnreadableCurve(ValueError):
    """A file that holds no curve we can be sure of; the message, which may be a `Notice`, says why and what to do."""

    @property
    def words(self) -> str:
        words: str = self.args[0]
        return words


@dataclass(frozen=True, slots=True)
class Text:
    """A file's text and the encoding it was read in."""

    text: str
    encoding: str


# The first bytes of files that are no text, and what to do with them.
_FOREIGN = (
    (b"PK", "This is an archive. Unpack it and send the log in it, as .xlsx or CSV."),
    (b"%PDF", "This is a PDF. Export the log as CSV or text and send that."),
    (b"\x89PNG", "This is a picture. Export the log as CSV or text and send that."),
    (b"\xff\xd8\xff", "This is a picture. Export the log as CSV or text and send that."),
    (b"\x1f\x8b", "This is an archive. Unpack it and send the file in it."),
)
_COMPOUND = b"\xd0\xcf\x11\xe0"
_LOCKED_PART = "EncryptedPackage".encode("utf-16-le")
_MARKS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))


def _wide_without_mark(data: bytes) -> str | None:
    """UTF-16 without its mark: every other byte of Western text is nothing."""
    head = data[:2000]
    if len(head) < 4 or head.count(0) < len(head) * 0.3:
        return None
    return "utf-16-le" if head[1::2].count(0) > head[::2].count(0) else "utf-16-be"


def _encodings(data: bytes) -> list[str]:
    marked = [encoding for mark, encoding in _MARKS if data.startswith(mark)]
    wide = _wide_without_mark(data)
    return marked or ([wide] if wide else ["utf-8", "cp1252", "latin-1"])


def _decode(data: bytes) -> Text:
    for encoding in _encodings(data):
        try:
            return Text(data.decode(encoding), encoding)
        except UnicodeDecodeError:
            continue
    raise UnreadableCurve("The file’s letters cannot be read. Export the log as CSV in UTF-8.")


def _refuse_foreign(data: bytes) -> None:
    for start, words in _FOREIGN:
        if data.startswith(start):
            raise UnreadableCurve(words)
    if data.startswith(_COMPOUND):
        # Spreadsheets under a password are wrapped in the same kind of file as old ones.
        if _LOCKED_PART in data:
            raise UnreadableCurve(LOCKED)
        raise UnreadableCurve(
            "This is an old spreadsheet (.xls). Save it as .xlsx, or the sheet as CSV, and send that."
        )


def decoded(data: bytes) -> Text:
    """A file's bytes as text, lines ended by a newline each.

    Raises
    ------
    UnreadableCurve : empty, too large, a spreadsheet, a picture or other bytes that are no text
    """
    if len(data) > LARGEST_BYTES:
        raise UnreadableCurve(
            f"The file is larger than {LARGEST_BYTES // 2**20} MB. Log less often, or cut it."
        )
    _refuse_foreign(data)
    found = _decode(data)
    if "\0" in found.text[:100_000]:
        raise UnreadableCurve("The file is no text. Export the log as CSV or text.")
    text = found.text.lstrip("\ufeff")
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    if not text.strip():
        raise UnreadableCurve("The file is empty.")
    return Text(text, found.encoding)
