"""What is imported when: one check has to start fast, so heavy libraries come in only where they are used.

Each case runs in an interpreter of its own and looks at what was imported, never at how long it took.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from ringcut_cli.main import COMMANDS

HEAVY = {"constraint", "jinja2", "lark", "networkx", "numpy", "pint", "rich", "uncertainties"}

RUN = """
import json, sys
from click.testing import CliRunner
from ringcut_cli.main import cli
result = CliRunner().invoke(cli, sys.argv[1:])
loaded = sorted({name.partition(".")[0] for name in sys.modules})
json.dump({"code": result.exit_code, "loaded": loaded}, sys.stdout)
"""

# Arguments of a run -> the heavy libraries it may import. A new command gets a line with a real run.
ALLOWED: dict[tuple[str, ...], set[str]] = {
    ("--help",): set(),
    ("--version",): set(),
    **{(name, "--help"): set() for name, entry in COMMANDS.items() if entry.exists()},
}


def python(code: str, *arguments: str) -> str:
    done = subprocess.run([sys.executable, "-c", code, *arguments], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


def loaded_by(statement: str) -> set[str]:
    """The top-level modules that the statement adds to those of a bare interpreter."""
    code = f"""
import json, sys
before = set(sys.modules)
{statement}
json.dump(sorted({{name.partition(".")[0] for name in set(sys.modules) - before}}), sys.stdout)
"""
    return set(json.loads(python(code)))


def test_the_command_line_starts_without_heavy_libraries() -> None:
    loaded = loaded_by("import ringcut_cli.main")
    assert {"click", "ringcut", "ringcut_cli"} <= loaded
    assert loaded & HEAVY == set()


def test_the_command_line_starts_without_any_command() -> None:
    code = "import json, sys, ringcut_cli.main; json.dump(sorted(sys.modules), sys.stdout)"
    loaded = json.loads(python(code))
    assert [name for name in loaded if name.startswith("ringcut_cli.commands")] == []


@pytest.mark.parametrize(("arguments", "allowed"), ALLOWED.items(), ids=" ".join)
def test_a_run_imports_only_what_it_may(arguments: tuple[str, ...], allowed: set[str]) -> None:
    ended = json.loads(python(RUN, *arguments))
    assert ended["code"] == 0
    assert set(ended["loaded"]) & HEAVY <= allowed


def test_reading_needs_only_msgspec_and_yaml(root: Path) -> None:
    folder = root / "engine" / "ringcut" / "reading"
    modules = sorted(f"ringcut.reading.{path.stem}" for path in folder.glob("*.py") if path.stem != "__init__")
    assert modules
    foreign = loaded_by("import " + ", ".join(modules)) - set(sys.stdlib_module_names)
    foreign = {name for name in foreign if "cython" not in name}  # what PyYAML's binding to libyaml brings along
    assert foreign <= {"ringcut", "msgspec", "yaml", "_yaml", "typing_extensions"}  # the last by msgspec
