"""A report with something broken, something that cannot be said and something that conforms."""

from __future__ import annotations

import pytest

from ringcut.checking import check
from ringcut.judge.findings import Report
from ringcut.language.compile import compile_partly
from ringcut.language.sources import read_sources
from ringcut.rulebookfiles import builtin_rulebook

LOG = b"""procedure: log
records: milestones
job: {reference: QC-1, work: trouble-opening, sheath: lead, construction: single, core: paper, location: aerial,
      pressurized: no}
steps:
  - {do: open-sheath, at: "2026-03-04T08:00:00-06:00"}
  - {do: assemble-sleeve, at: "2026-03-04T09:00:00-06:00", bond-length: {A: 5 in, B: 4-7/8 in}}
"""


@pytest.fixture(scope="session")
def broken() -> Report:
    """An invented log with a sleeve that is short on one side."""
    return check(LOG, "log.yaml", compile_partly(read_sources(builtin_rulebook()), []), "2026-04-01")
