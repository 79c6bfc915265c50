"""Three floors, imports only downwards; what is not a role of Django is pure computation."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]

# Lowest first: each floor may import itself and those before it.
FLOORS = ("firings", "tiles", "studio")

# Whether a module may touch Django is seen from its name alone; the list is closed.
ROLES = {
    *(
        "admin",
        "apps",
        "filters",
        "forms",
        "http",
        "listeners",
        "middleware",
        "queries",
        "services",
        "tasks",
        "urls",
    ),
    *("views", "models", "migrations", "management", "templatetags", "settings", "wsgi"),
}

MODULES = [path.relative_to(ROOT) for floor in FLOORS for path in sorted((ROOT / floor).rglob("*.py"))]


def imported(module: Path) -> Iterator[str]:
    """The full names of everything a module imports: ``tiles.models`` and ``tiles.models.Tile``."""
    for node in ast.walk(ast.parse((ROOT / module).read_text())):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{module}: write imports in full"
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def has_a_role(dotted: str) -> bool:
    return not ROLES.isdisjoint(dotted.removesuffix(".py").replace("/", ".").split("."))


@pytest.mark.parametrize("module", MODULES, ids=str)
def test_imports_only_go_down(module):
    floor = FLOORS.index(module.parts[0])
    above = set(FLOORS[floor + 1 :])

    assert [name for name in imported(module) if name.partition(".")[0] in above] == []


@pytest.mark.parametrize("module", [one for one in MODULES if not has_a_role(str(one))], ids=str)
def test_computation_is_pure(module):
    names = [name for name in imported(module) if name.partition(".")[0] in (*FLOORS, "django")]

    assert [name for name in names if name.startswith("django") or has_a_role(name)] == []


@pytest.mark.parametrize("folder", [one for one in MODULES if one.name == "__init__.py"], ids=str)
def test_a_folder_says_its_rule_in_one_line_and_nothing_else(folder):
    statements = ast.parse((ROOT / folder).read_text()).body
    if not {"migrations", "management", "templatetags", "models"}.isdisjoint(folder.parts):
        return
    docstring = ast.get_docstring(ast.Module(statements, []))

    assert len(statements) == 1
    assert docstring
    assert "\n" not in docstring
