"""Small plans of invented steps, judged with what their open readings can be."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from ringcut.checking import read
from ringcut.fit.leftopen import judged
from ringcut.judge.findings import Report
from ringcut.language.ir import Rulebook


@pytest.fixture
def judged_by(small_book: Callable[..., Rulebook]) -> Callable[..., Report]:
    """The report of a plan of some steps, on a vocabulary, by some rules, r0, r1, ..."""

    def judged_by(words: str, steps: str, *rules: str) -> Report:
        text = "\n".join(f"  - {{rule: r{at}, says: s, class: major, {rule}}}" for at, rule in enumerate(rules))
        book = small_book(words, text)
        return judged(read(f"{{procedure: plan, steps: [{steps}]}}".encode(), "plan.yaml", book), book)

    return judged_by
