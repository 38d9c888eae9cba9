"""The facts of a common job."""

from __future__ import annotations

import pytest

from ringcut.draft.models import Job


@pytest.fixture
def lead() -> Job:
    """The commonest job: a lead sheath opened in a manhole."""
    return {
        "work": "trouble-opening",
        "sheath": "lead",
        "construction": "single",
        "core": "paper",
        "pressurized": "yes",
        "location": "manhole",
        "cable-diameter": "2.05 in",
        "opening-length": "14 in",
    }
