"""The house as drawn: rooms in one order, small functions, heavy libraries in one room, every door labelled."""

from __future__ import annotations

import ast
import statistics
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

SOURCE = Path(__file__).parents[1] / "src" / "lowsimmer"
PACKAGE = "lowsimmer"
# A room may import the rooms before it, never one behind it. The package's own __init__ holds the version only.
ORDER = (
    "",
    "domain",
    "reference",
    "reading",
    "matching",
    "measuring",
    "loads",
    "nutrition",
    "publishing",
    "store",
    "demo",
    "web",
    "cli",
    "__main__",
)
# Library -> rooms that may import it on top.
HEAVY = {
    "numpy": {"loads"},
    "yaml": {"web"},
    "rapidfuzz": set[str](),
    "sqlalchemy": {"store", "web"},
    "alembic": {"store"},
    "starlette": {"web"},
    "fastapi": {"web"},
    "uvicorn": {"web"},
}
MEDIAN, NINE_IN_TEN, LONGEST, LONGEST_FILE = 12, 40, 60, 600

FILES = sorted(SOURCE.rglob("*.py"))


class Function(NamedTuple):
    """A function and its length in lines, decorators not counted."""

    lines: int
    where: str


def tree(file: Path) -> ast.Module:
    """The syntax tree of one file."""
    return ast.parse(file.read_text(encoding="utf-8"), str(file))


def module(file: Path) -> str:
    """`lowsimmer.reading.line` for its file."""
    parts = file.relative_to(SOURCE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def room(name: str) -> str:
    """The first folder or file below the package; '' for the package itself."""
    return name.split(".")[1] if "." in name else ""


MODULES = {module(file): file for file in FILES}


def imported(file: Path) -> Iterator[tuple[str, int]]:
    """Every module that a file imports anywhere, as (name, line); `from x import y` names x.y where that is one."""
    for node in ast.walk(tree(file)):
        if isinstance(node, ast.Import):
            yield from ((each.name, node.lineno) for each in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{file}:{node.lineno}: imports are written in full"
            base = node.module or ""
            for each in node.names:
                full = f"{base}.{each.name}"
                yield (full if full in MODULES else base), node.lineno


def ours(file: Path) -> Iterator[tuple[str, int]]:
    """The modules of the package that a file imports."""
    return ((name, line) for name, line in imported(file) if name.split(".")[0] == PACKAGE)


def test_every_room_has_its_place_in_the_order() -> None:
    assert {room(name) for name in MODULES} <= set(ORDER)


def test_rooms_depend_one_way() -> None:
    wrong = [
        f"{module(file)}:{line} imports {name}"
        for file in FILES
        for name, line in ours(file)
        if ORDER.index(room(name)) > ORDER.index(room(module(file)))
    ]
    assert wrong == []


def test_the_domain_imports_nothing_else_of_ours() -> None:
    strange = {name for file in FILES if room(module(file)) == "domain" for name, _ in ours(file)}
    assert {room(name) for name in strange} <= {"domain"}


def test_nobody_imports_the_command_line() -> None:
    users = {module(file) for file in FILES for name, _ in ours(file) if room(name) == "cli"}
    assert users == {f"{PACKAGE}.__main__"}


def _circles(graph: dict[str, set[str]]) -> list[str]:
    """The modules that stand in a circle, or behind one: what is left when those without imports are taken off."""
    left = {name: set(used) for name, used in graph.items()}
    while free := [name for name, used in left.items() if not used & left.keys()]:
        for name in free:
            del left[name]
    return sorted(left)


def test_modules_import_each_other_in_no_circle() -> None:
    graph = {name: {used for used, _ in ours(file) if used != name} for name, file in MODULES.items()}
    assert _circles(graph) == []


def _on_top(body: list[ast.stmt]) -> Iterator[ast.Import | ast.ImportFrom]:
    """The imports that run when the module is imported; `if TYPE_CHECKING` does not run."""
    for node in body:
        if isinstance(node, ast.Import | ast.ImportFrom):
            yield node
        elif isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test):
            yield from _on_top(node.orelse)
        elif isinstance(node, ast.If | ast.Try | ast.With | ast.ClassDef):
            yield from _on_top(node.body)


def test_heavy_libraries_are_imported_where_they_are_used() -> None:
    found = []
    for file in FILES:
        for node in _on_top(tree(file).body):
            names = [node.module or ""] if isinstance(node, ast.ImportFrom) else [each.name for each in node.names]
            tops = {name.split(".")[0] for name in names} & HEAVY.keys()
            found += [f"{module(file)}: {top}" for top in tops if room(module(file)) not in HEAVY[top]]
    assert found == []


def functions() -> list[Function]:
    """Every function and method of the package, the longest first."""
    found = [
        Function(
            (node.end_lineno or node.lineno) - node.lineno + 1, f"{file.relative_to(SOURCE)}:{node.lineno} {node.name}"
        )
        for file in FILES
        for node in ast.walk(tree(file))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    ]
    return sorted(found, reverse=True)


def worst_ten() -> str:
    """The ten longest functions, for people."""
    return "\n".join(f"{each.lines:4} {each.where}" for each in functions()[:10])


def test_functions_are_small() -> None:
    lengths = [each.lines for each in functions()]
    assert statistics.median(lengths) < MEDIAN, worst_ten()
    assert statistics.quantiles(lengths, n=10)[8] < NINE_IN_TEN, worst_ten()
    assert max(lengths) <= LONGEST, worst_ten()


def test_files_are_small() -> None:
    sizes = sorted(((len(file.read_text(encoding="utf-8").splitlines()), module(file)) for file in FILES), reverse=True)
    assert sizes[0][0] <= LONGEST_FILE, sizes[:10]


def _without_docstring(file: Path) -> Iterator[str]:
    """Public modules, classes, functions and methods that do not say what they are."""
    top = tree(file)
    if top.body and not ast.get_docstring(top):
        yield module(file)
    bodies = [top.body, *(each.body for each in ast.walk(top) if isinstance(each, ast.ClassDef))]
    for each in (node for body in bodies for node in body):
        if not isinstance(each, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            continue
        if not each.name.startswith("_") and not ast.get_docstring(each):
            yield f"{module(file)}.{each.name}"


@pytest.mark.parametrize("file", FILES, ids=lambda file: str(file.relative_to(SOURCE)))
def test_every_public_name_says_what_it_is(file: Path) -> None:
    assert list(_without_docstring(file)) == []
