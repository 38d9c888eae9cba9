"""What all tests share: repeatable property tests, and the browser for the pages."""

from __future__ import annotations

import os
import shutil

import hypothesis
import pytest

# The same examples on every machine, and no deadline: a slow machine is not a defect.
hypothesis.settings.register_profile("house", derandomize=True, deadline=None, database=None)
hypothesis.settings.load_profile("house")


@pytest.fixture(scope="session")
def chromium() -> str:
    """The path of Debian's chromium, for tests marked ``browser``.

    Without it such a test is skipped; where RINGCUT_BROWSER is ``required``, as in CI, it fails.
    """
    path = shutil.which("chromium")
    if path is None:
        told = "chromium is not installed (apt-get install chromium)"
        if os.environ.get("RINGCUT_BROWSER") == "required":
            pytest.fail(told)
        pytest.skip(told)
    return path
