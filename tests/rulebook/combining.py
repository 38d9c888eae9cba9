"""One job, judged: refused, outside the cover, or good as its model's plan and as the log made from it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

import msgspec

from ringcut.draft.models import Job, Model
from ringcut.judge.findings import CONFORMS
from ringcut.language.ir import Rulebook
from ringcut.reading.raw import RawProcedure

from .goodwork import done, judged, model_of, planned
from .jobs import gaps, refused

REFUSED, NOT_COVERED, NO_FLAME, GOOD = "refused", "not covered", "no flame allowed", "conforms"


class Tally(msgspec.Struct):
    """How many jobs came out how, the reasons of those refused or not covered, and what is wrong."""

    outcomes: Counter[str]
    reasons: Counter[str]
    faults: list[str]


def tallied(jobs: Iterable[Job], models: list[Model], book: Rulebook) -> Tally:
    """Look at every job."""
    tally = Tally(Counter(), Counter(), [])
    for job in jobs:
        outcome, reasons, faults = looked_at(job, models, book)
        tally.outcomes[outcome] += 1
        tally.reasons.update(reasons)
        tally.faults += [f"{fault} in {job}" for fault in faults]
    return tally


def looked_at(job: Job, models: list[Model], book: Rulebook) -> tuple[str, list[str], list[str]]:
    """How a job comes out, the reasons for that, and what is wrong with its models."""
    reasons = refused(job, book)
    if reasons:
        return REFUSED, reasons, []
    serving, uncovered = model_of(models, job, book), gaps(job, book)
    if uncovered:
        plans = [judged(planned(model, job, book), book) for model in serving]
        return NOT_COVERED, uncovered, ["passes uncovered" for report in plans if report.verdict == CONFORMS]
    if len(serving) != 1:
        return GOOD, [], [f"{len(serving)} models"]
    plan = planned(serving[0], job, book)
    allowed = {"vault-flame-allowed"} if forbids_flame(job) else set()
    faults = [*faults_of(plan, allowed, book), *faults_of(done(plan, book), allowed, book)]
    return NO_FLAME if allowed else GOOD, [], [f"{serving[0].name}: {fault}" for fault in faults]


def forbids_flame(job: Job) -> bool:
    """A vault whose house allows no flame: every model needs one, and exactly that is found."""
    return job["location"] == "vault" and job["vault-flame-allowed"] == "no"


def faults_of(raw: RawProcedure, expected: set[str], book: Rulebook) -> list[str]:
    """What is found on a procedure beyond the rules expected, or their absence."""
    report = judged(raw, book)
    found = [f"{raw.kind}: {each.rule}: {each.message}" for each in report.findings if each.rule not in expected]
    if expected != {each.rule for each in report.findings} & expected:
        found.append(f"{raw.kind}: {', '.join(sorted(expected))} not found")
    if not expected and not found and report.verdict != CONFORMS:
        found.append(f"{raw.kind}: {report.verdict}, {', '.join(report.not_covered)}")
    return found
