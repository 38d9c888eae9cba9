"""The size and shape of modules: small rooms, each with its purpose at the door and tests of its own."""

from __future__ import annotations

import ast
from pathlib import Path
from statistics import median

LONGEST_MODULE = 400
MEDIAN_MODULE = 150
LONG_FUNCTION = 40
SHARE_OF_LONG_FUNCTIONS = 0.05


def line_counts(root: Path, modules: list[Path]) -> dict[str, int]:
    return {str(path): len((root / path).read_text(encoding="utf-8").splitlines()) for path in modules}


def test_every_module_says_what_it_is_for(root: Path, modules: list[Path]) -> None:
    silent = [
        str(path) for path in modules if not ast.get_docstring(ast.parse((root / path).read_text(encoding="utf-8")))
    ]
    assert silent == []


def test_no_module_is_long(root: Path, modules: list[Path]) -> None:
    long = {path: lines for path, lines in line_counts(root, modules).items() if lines > LONGEST_MODULE}
    assert long == {}, f"split these: more than {LONGEST_MODULE} lines"


def test_most_modules_are_short(root: Path, modules: list[Path]) -> None:
    counts = sorted(line_counts(root, modules).items(), key=lambda item: -item[1])
    assert median(lines for _, lines in counts) <= MEDIAN_MODULE, f"the longest are {counts[:5]}"


def test_hardly_a_function_is_long(root: Path, modules: list[Path]) -> None:
    lengths = {
        f"{path}: {node.name}": (node.end_lineno or node.lineno) - node.lineno + 1
        for path in modules
        for node in ast.walk(ast.parse((root / path).read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    }
    long = {name: lines for name, lines in lengths.items() if lines > LONG_FUNCTION}
    assert len(long) <= SHARE_OF_LONG_FUNCTIONS * len(lengths), f"more than {LONG_FUNCTION} lines: {long}"


def test_every_room_of_the_engine_has_its_tests(tracked: list[Path], modules: list[Path]) -> None:
    rooms = {path.parts[2] for path in modules if path.parts[0] == "engine" and len(path.parts) > 3}
    empty = {room for room in rooms if all(path.name == "__init__.py" for path in modules if room in path.parts)}
    tested = {path.parts[1] for path in tracked if path.parts[0] == "tests" and path.name.startswith("test_")}
    assert rooms - empty - tested == set(), "rooms without a folder of tests"


def test_every_folder_of_tests_mirrors_something(root: Path, tracked: list[Path]) -> None:
    """A folder of tests is named like a room of the engine, or is one of the few that look at the whole."""
    rooms = {path.name for path in (root / "engine" / "ringcut").iterdir() if path.is_dir()}
    whole = {"house", "cli", "rulebook", "oracle", "benchmarks"}
    folders = {path.parts[1] for path in tracked if path.parts[0] == "tests" and path.suffix == ".py"}
    folders = {name for name in folders if not name.endswith(".py")}
    assert folders - rooms - whole == set()
