"""All words on screens, prints and commands, listed to be read in one go: ``python -m tests.words [PATH…]``.

Read from the source: templates, and what stands in quotes in Python and in our scripts and could be read by a
person. A gap stands for what a page fills in.
"""

import ast
import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from html.parser import HTMLParser
from pathlib import Path

ROOT = Path(__file__).parents[1]
GAP = "…"
FLOORS = ("firings", "tiles", "studio")

# Attributes that a person hears, or reads on the page.
READ_OUT = {"alt", "aria-label", "aria-description", "placeholder", "title", "data-words"}
# Elements that do not end a sentence.
WITHIN = {
    "a",
    "abbr",
    "b",
    "code",
    "em",
    "i",
    "kbd",
    "small",
    "span",
    "strong",
    "sub",
    "sup",
    "time",
    "var",
    "q",
}

COMMENT = re.compile(r"\{#.*?#\}|\{% comment %\}.*?\{% endcomment %\}", re.DOTALL)
TAG = re.compile(r"\{%\s*(\w+)(.*?)%\}", re.DOTALL)
VARIABLE = re.compile(r"\{\{.*?\}\}", re.DOTALL)
QUOTED = re.compile(r'"([^"]*)"')

# Code, not words: names, addresses, formats, selectors, queries.
CODE = re.compile(
    r"^[\w./:%{}<>=&?#,|*+\[\]()^$\\~-]*$|^\s*$|^(SELECT|INSERT|UPDATE|DELETE|CREATE|DROP|ALTER|WITH|PRAGMA|NOTIFY|LOCK)\b|^https?:"
)


@dataclass(frozen=True)
class Said:
    """Words as they stand in a file."""

    where: str
    line: int
    words: str


class Reading(HTMLParser):
    """The words of a template, sentence by sentence."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[int, str]] = []
        self._words: list[str] = []
        self._line = 1
        self._silent = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, value in attrs:
            if (name in READ_OUT or (name == "value" and tag == "button")) and value:
                self.found.append((self.getpos()[0], value))
        if tag in ("script", "style"):
            self._silent += 1
        if tag not in WITHIN:
            self.pause()

    def handle_endtag(self, tag: str) -> None:
        if tag in ("script", "style"):
            self._silent -= 1
        if tag not in WITHIN:
            self.pause()

    def handle_data(self, data: str) -> None:
        if not self._silent and data.strip():
            if not self._words:
                self._line = self.getpos()[0]
            self._words.append(data)

    def pause(self) -> None:
        """What has been gathered is one sentence."""
        if words := " ".join(" ".join(self._words).split()):
            self.found.append((self._line, words))
        self._words = []


def of_template(path: Path) -> Iterator[Said]:
    """The words a template puts on a page, those in its tags with them."""
    text = COMMENT.sub(lambda gone: "\n" * gone[0].count("\n"), path.read_text())
    where = str(path.relative_to(ROOT))
    for tag in TAG.finditer(text):
        if tag[1] in ("include", "press", "screen", "to_print_tray", "translate"):
            line = text.count("\n", 0, tag.start()) + 1
            yield from (
                Said(where, line, words)
                for words in QUOTED.findall(tag[2])
                if not CODE.match(words) or words.isalpha()
            )
    reading = Reading()
    bare = TAG.sub(lambda tag: "\n" * tag[0].count("\n") + " ", text)
    reading.feed(VARIABLE.sub(GAP, bare))
    reading.close()
    reading.pause()
    yield from (Said(where, line, words) for line, words in reading.found if re.search(r"[^\W\d_]", words))


def of_python(path: Path) -> Iterator[Said]:
    """What stands in quotes in a module and reads like words; docstrings and migrations are for developers."""
    tree = ast.parse(path.read_text())
    where = str(path.relative_to(ROOT))
    unread = set(map(id, _unread(tree)))
    inside: set[int] = set()
    for node in ast.walk(tree):
        if id(node) in unread or id(node) in inside:
            continue
        words = ""
        if isinstance(node, ast.JoinedStr):
            inside |= {id(part) for part in ast.walk(node)}
            words = "".join(part.value if isinstance(part, ast.Constant) else GAP for part in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            words = node.value
        words = " ".join(words.split())
        if words and not CODE.match(words) and re.search(r"[^\W\d_]{2}", words):
            yield Said(where, node.lineno, words)


def _unread(tree: ast.AST) -> Iterator[ast.AST]:
    """Quotes nobody reads: docstrings."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef) and node.body:
            first = node.body[0]
            if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
                yield first.value
        elif isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            yield node.value


def of_script(path: Path) -> Iterator[Said]:
    """What a script of ours says."""
    where = str(path.relative_to(ROOT))
    for number, line in enumerate(path.read_text().splitlines(), 1):
        code = re.sub(r"^\s*(//|\*|/\*).*|\s//\s.*", "", line)
        for quoted in re.finditer(r'"([^"]*)"|`([^`]*)`', code):
            words = re.sub(r"\$\{[^}]*\}", GAP, quoted[1] or quoted[2] or "")
            if " " in words and re.search(r"[^\W\d_]{3}", words) and not re.search(r"[<>=;\[\]#]", words):
                yield Said(where, number, words)


def all_words() -> list[Said]:
    """Every word on screens, prints and commands."""
    found: list[Said] = []
    for path in sorted((ROOT / "templates").rglob("*.html")):
        found += of_template(path)
    for floor in FLOORS:
        for path in sorted((ROOT / floor).rglob("*.py")):
            if "migrations" not in path.parts:
                found += of_python(path)
    for path in sorted((ROOT / "static/js").glob("*.js")):
        found += of_script(path)
    return found


def main(wanted: list[str]) -> None:
    """List them, file by file; with arguments, of files whose path contains one of them."""
    last = ""
    for said in all_words():
        if wanted and not any(part in said.where for part in wanted):
            continue
        if said.where != last:
            print(f"\n{said.where}")
            last = said.where
        print(f"{said.line:5}  {said.words}")


if __name__ == "__main__":
    main(sys.argv[1:])
