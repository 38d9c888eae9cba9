"""All rows together: a closure at a time where a sentence speaks of one closure, else over the whole job."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from . import air, bond, core, dam, layers, order, places, pressure, proof, site, sleeve, special, surface
from .plain import Story, Verdict, read, worst

Row = Callable[[Story], Verdict]

WHOLE: dict[str, Row] = {**site.ROWS, **air.ROWS, **places.ROWS, **special.ROWS}
EACH_CLOSURE: dict[str, Row] = {
    **pressure.ROWS, **proof.ROWS, **bond.ROWS, **core.ROWS, **layers.ROWS, **dam.ROWS, **surface.ROWS,
    **sleeve.ROWS, **order.ROWS,
}  # fmt: skip
ROWS: dict[str, Row] = {**WHOLE, **EACH_CLOSURE}


def judge(procedure: dict[str, Any]) -> dict[str, Verdict]:
    """A verdict for every row of the practice: ok, broken, unknown or n/a."""
    story = read(procedure)
    closures = sorted({step.closure for step in story.steps if step.closure is not None})
    parts = [
        replace(story, steps=[step for step in story.steps if step.closure in (None, closure)]) for closure in closures
    ] or [story]
    found = {name: row(story) for name, row in WHOLE.items()}
    for name, row in EACH_CLOSURE.items():
        found[name] = worst(row(part) for part in parts)
    return found
