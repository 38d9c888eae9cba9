"""The verdict on a whole procedure from the verdicts of its rules."""

from __future__ import annotations

from collections.abc import Mapping

from ringcut.judge.findings import CONFORMS, NONCONFORMING, NOT_APPLICABLE, UNDER_CONCESSION, UNDETERMINED

SAID = (CONFORMS, NONCONFORMING, UNDETERMINED, NOT_APPLICABLE, UNDER_CONCESSION)
"""Every verdict a rule can have."""


def overall(counted: Mapping[str, int], uncovered: bool) -> str:
    """Nonconforming if any rule, else undetermined if any or not covered.

    Else conforms if at least one rule conforms.
    """
    if counted.get(NONCONFORMING):
        return NONCONFORMING
    if counted.get(UNDETERMINED) or uncovered:
        return UNDETERMINED
    if counted.get(UNDER_CONCESSION):
        return UNDER_CONCESSION
    return CONFORMS if counted.get(CONFORMS) else NOT_APPLICABLE
