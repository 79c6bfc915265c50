"""The documents name commands, settings and versions that exist."""

import ast
import re
import tomllib
from pathlib import Path

import pytest
from django.core.management import get_commands

from tests import tour

ROOT = Path(__file__).parents[1]
DOCUMENTS = [(ROOT / name).read_text() for name in ("README.md", "DEVELOPERS.md", "CHANGELOG.md")]
README = DOCUMENTS[0]
EVERYTHING = "\n".join(DOCUMENTS)


def variables_read() -> set[str]:
    """The variables that the settings read from the environment."""
    tree = ast.parse((ROOT / "studio/settings.py").read_text())
    calls = [
        node for node in ast.walk(tree) if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
    ]
    asked = {
        call.args[0].value
        for call in calls
        if isinstance(call.func.value, ast.Name) and call.func.value.id == "env" and call.args
    }
    # The clock reads TZ by the name that every program knows it by.
    return asked | {"TZ"}


def test_the_readme_lists_exactly_the_variables_that_are_read():
    listed = re.findall(r"^\| `([A-Z_]+)` \|", README, re.MULTILINE)

    assert sorted(listed) == sorted(variables_read())


def test_every_make_word_in_the_documents_is_one_of_the_makefile():
    jobs = set(re.findall(r"^([a-z]+):(?! export)", (ROOT / "Makefile").read_text(), re.MULTILINE))
    written = re.findall(r"(?:`|^|\s)make ([a-z]+)(?=`|\s|$)", "\n".join(code_in(EVERYTHING)), re.MULTILINE)

    assert {"start", "test"} <= set(written) <= jobs


def code_in(text: str) -> list[str]:
    """What stands in backquotes and in fenced blocks."""
    fenced = re.findall(r"```\w*\n(.*?)```", text, re.DOTALL)
    return [*fenced, *re.findall(r"`([^`\n]+)`", re.sub(r"```.*?```", "", text, flags=re.DOTALL))]


def test_every_command_in_the_documents_exists():
    written = set(re.findall(r"manage\.py ([a-z_]+)", EVERYTHING))

    assert "start" in written
    assert written <= set(get_commands())


@pytest.mark.parametrize("document", ["README.md", "DEVELOPERS.md"])
def test_every_file_and_folder_a_document_names_is_there(document):
    text = (ROOT / document).read_text()
    text = text.partition("## A first change")[0]
    named = re.findall(r"`((?:studio|tiles|firings|tests|static)/[\w./]*)`", text) + re.findall(
        r"\]\((\w[\w.]*)\)", text
    )

    assert named
    assert [name for name in named if not (ROOT / name).exists()] == []


def test_a_command_on_a_page_can_be_typed_as_it_stands():
    """Whoever brings a backup back is in no state to guess; the terminal knows no "manage.py" by itself."""
    pages = {page.name: page.read_text() for page in (ROOT / "templates").rglob("*.html")}
    commands = [
        (name, command)
        for name, text in pages.items()
        for command in re.findall(r"<code>([^<]*manage\.py[^<]*)", text)
    ]

    # Those with this studio's folder in them are written by a tag: tests/studio/serving/test_commands_on_pages.py.
    assert len(commands) >= 3
    assert [one for one in commands if ".venv/bin/python manage.py " not in one[1]] == []


def test_every_picture_of_the_tour_is_there_small_and_made_by_the_script():
    shown = re.findall(r'<img src="docs/tour/([\w-]+)\.webp"', README)
    made = {path.stem for path in (ROOT / "docs/tour").glob("*.webp")}
    by_the_script = {name for name, *_ in (*tour.SCREENS, *tour.PRINTS)}

    assert set(shown) == made == by_the_script
    assert len(shown) == len(made)
    for path in (ROOT / "docs/tour").iterdir():
        assert path.stat().st_size <= tour.LARGEST_BYTES
        assert len(re.findall(rf'/{path.name}" width="\d+%" alt="[^"]{{20,}}"', README)) == 1


def test_all_lists_of_requirements_pin_the_same_versions():
    names = ("requirements.txt", "requirements-server.txt", "requirements-dev.txt")
    running, on_servers, with_tools = (pins(ROOT / name) for name in names)

    assert running.items() <= on_servers.items() <= with_tools.items()


def pins(path: Path) -> dict[str, str]:
    return dict(re.findall(r"^([a-z0-9-]+)==(\S+)", path.read_text(), re.MULTILINE))


def test_requirements_carry_hashes_and_no_address_of_an_index():
    for name in ("requirements.txt", "requirements-dev.txt", "requirements-server.txt"):
        text = (ROOT / name).read_text()
        assert text.count("--hash=sha256:") >= len(pins(ROOT / name))
        assert not re.search(r"https?://|--(extra-)?index-url|--find-links", text)


def test_every_package_we_ask_for_is_pinned():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    wanted = {re.match(r"[\w-]+", one)[0].lower() for one in project["dependencies"]}

    assert wanted <= set(pins(ROOT / "requirements.txt"))


def test_the_oldest_python_is_the_same_everywhere():
    oldest = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["requires-python"].removeprefix(
        ">="
    )
    major, minor = oldest.split(".")

    assert f"Python {oldest} or newer" in README
    assert f"sys.version_info < ({major}, {minor})" in (ROOT / "setup.sh").read_text()
