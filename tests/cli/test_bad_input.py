"""Input that cannot be read: a located message or a clear limit, exit code 2, and never a traceback."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml
from click.testing import Result

from ringcut_cli.exits import Exit

Run = Callable[..., Result]

HEAD = (
    "procedure: plan\n"
    "job: {reference: X, work: trouble-opening, sheath: lead, pressurized: yes, location: manhole, core: paper}\n"
    "steps:\n"
)
BOMB = "a: &a [x,x,x,x,x,x,x,x,x]\n" + "".join(
    f"{name}: &{name} [{','.join(['*' + above] * 9)}]\n" for above, name in zip("abcdefghi", "bcdefghij", strict=True)
)

BAD: dict[str, tuple[bytes, tuple[str, ...]]] = {
    "empty": (b"", ("the file is empty",)),
    "blank": (b"\n\n  \n", ("the file is empty",)),
    "no mapping": (b"- a\n- b\n", ("1:1", "procedure: plan")),
    "no YAML": (b"hello there\nthis is not a plan\n", ("1:1",)),
    "binary": (bytes(range(256)) * 20, ("not a text file",)),
    "too large": (b"procedure: plan\nsteps:\n" + b"  - guard-work-area\n" * 2_600_000, ("At most 20 MB",)),
    "aliases that explode": (BOMB.encode() + b"procedure: plan\n", ("aliases",)),
    "a key twice": (HEAD.encode() + b"  - {do: guard-work-area, do: open-manhole}\n", ("4:27", "twice")),
    "a cycle": (
        HEAD.encode()
        + b"  - {do: guard-work-area, id: x1, after: [x2]}\n  - {do: open-manhole, id: x2, after: [x1]}\n",
        ("4:5", "x1 (line 4) -> x2 (line 5) -> x1 (line 4)"),
    ),
    "an unknown step": (HEAD.encode() + b"  - open-manholl\n", ("4:5", "Did you mean open-manhole?")),
    "an unknown fact": (b"procedure: plan\njob: {sheeth: lead}\nsteps: [open-manhole]\n", ("2:7", "sheath")),
    "a negative length": (HEAD.encode() + b"  - {do: assemble-sleeve, bond-length: -5 in}\n", ("4:40", "cannot be")),
    "an absurd count": (HEAD.encode() + b"  - {do: wrap-rubber-tape, layers: 9000}\n", ("4:36", "cannot be")),
    "another dimension": (HEAD.encode() + b"  - {do: wrap-rubber-tape, overlap: 5 psi}\n", ("4:37", "pressure")),
    "gauge and absolute": (
        HEAD.replace("plan", "log").encode() + b"  - {do: confirm-zero, gauge-pressure: 14.7 psia}\n",
        ("4:40", "absolute"),
    ),
    "a share of what": (
        HEAD.replace("plan", "log").encode() + b"  - {do: test-atmosphere, combustible-gas: 5 %}\n",
        ("4:44", "%LFL"),
    ),
    "facts that cannot stand together": (
        b"procedure: plan\njob: {work: inter-sheath-dam, construction: single}\nsteps: [open-manhole]\n",
        ("cannot", "single sheath"),
    ),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_input_is_told_with_its_place(name: str, run: Run, tmp_path: Path) -> None:
    data, said = BAD[name]
    path = tmp_path / "plan.yaml"
    path.write_bytes(data)
    result = run("check", path)
    told = " ".join((result.stdout + result.stderr).split())
    assert result.exit_code == Exit.BAD_INPUT, told
    assert "Traceback" not in told
    for words in said:
        assert words in told


def _places(node: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    found = [path]
    entries = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for key, value in entries:
        found += _places(value, (*path, key))
    return found


def _with(node: Any, path: tuple[Any, ...], value: Any) -> Any:
    if not path:
        return value
    if isinstance(node, dict):
        return {key: _with(inner, path[1:], value) if key == path[0] else inner for key, inner in node.items()}
    return [_with(inner, path[1:], value) if index == path[0] else inner for index, inner in enumerate(node)]


WRONG: tuple[Any, ...] = ({"a": {"b": "c"}}, [["x"], "y"], "12,7 cm", "", "no such word", "-1", "99999999999999 in")


def test_a_wrong_type_at_every_place_is_told(run: Run, demo: Path, tmp_path: Path) -> None:
    """A seeded value of a wrong type at each place of a good plan: a message or a verdict, never a defect."""
    good = yaml.load((demo / "lead-opening.yaml").read_text(), Loader=yaml.BaseLoader)
    chance = random.Random(20)
    refused = 0
    places = _places(good)
    for path in places:
        document = tmp_path / "plan.yaml"
        document.write_text(yaml.safe_dump(_with(good, path, chance.choice(WRONG)), sort_keys=False))
        result = run("check", document, "--format", "json")
        assert result.exit_code in (Exit.CONFORMS, Exit.NONCONFORMING, Exit.BAD_INPUT, Exit.UNDETERMINED), (
            path,
            result.stderr,
        )
        assert result.exception is None or isinstance(result.exception, SystemExit), (path, result.exception)
        if result.exit_code == Exit.BAD_INPUT:
            refused += 1
            assert "plan.yaml" in result.stderr.replace("\n", ""), path  # a long path is broken where the line ends
    assert refused > len(places) // 2
