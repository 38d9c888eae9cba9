"""Two rulebooks side by side, for an author: what changed, an example of each change, and what it does to past jobs."""

from __future__ import annotations

from collections.abc import Sequence

from ringcut.language.ir import Rulebook
from ringcut.proof.compare import Difference, OverLogs
from ringcut.proof.examples import Example
from ringcut_cli.shown.page import Page
from ringcut_cli.shown.ruletext import flow

KINDS = {"new": "New", "gone": "Gone", "tightened": "Tightened", "loosened": "Loosened", "changed": "Changed"}
MOST_NAMED = 6


def differences_page(page: Page, old: Rulebook, new: Rulebook, found: Sequence[Difference]) -> None:
    """What is new, gone, tightened and loosened."""
    page.text(f"{old.name}, edition {old.edition}  ->  {new.name}, edition {new.edition}", style="bold")
    page.text(f"{len(found)} rule{'' if len(found) == 1 else 's'} differ{'s' if len(found) == 1 else ''}")
    for kind, heading in KINDS.items():
        chosen = [each for each in found if each.kind == kind]
        if not chosen:
            continue
        page.heading(heading, str(len(chosen)))
        for each in chosen:
            sense = "" if kind != "changed" else f" ({each.effect.sense.value})"
            page.parts([(each.effect.rule, "bold"), (f"  {each.effect.class_}: {each.effect.words}{sense}", "")], 2, 4)
            for example in each.examples:
                _example(page, example, kind)
            if not each.examples:
                page.text(_no_example(each), 4)


def _example(page: Page, example: Example, kind: str) -> None:
    document = example.document
    job = f"job {flow(document['job'])}, " if document.get("job") else ""
    told = f"{document['procedure']}: {job}steps {flow(document['steps'])}"
    apart = "" if example.smallest else "  (there may be a smaller one)"
    said = {"new": f"{example.new} by it", "gone": f"{example.old} by it"}.get(kind)
    page.parts([(f"{said or f'{example.old} before, {example.new} after'}:  ", ""), (told + apart, "")], 4, 6)


def _no_example(found: Difference) -> str:
    if found.same_verdicts:
        return "Every verdict stays as it was."
    if found.stamps:
        return "It looks at stamps and copies of whole logs; give logs to see what changes."
    return "No small procedure was found on which they differ; that does not mean there is none."


def logs_page(page: Page, found: OverLogs, bad: Sequence[str]) -> None:
    """Which verdicts change over the logs, by rule, cause and crew."""
    logs = f"{found.judged} log{'' if found.judged == 1 else 's'}"
    if not found.judged:
        page.heading("No log was judged")
    elif not found.changed:
        page.heading(f"Over {logs} no verdict changes")
    else:
        page.heading(f"Over {logs} these verdicts change")
    for each in found.changed:
        page.parts([(each.rule, "bold"), (f"  {each.old} -> {each.new}, {each.cause}", "")], 2, 4)
        named = ", ".join(each.logs[:MOST_NAMED]) + (", ..." if len(each.logs) > MOST_NAMED else "")
        page.text(f"{each.crew}: {len(each.logs)} ({named})", 4)
    if found.unrecorded:
        page.heading("Asked for, and recorded in no log")
        for rule, what in found.unrecorded:
            page.parts([(rule, "bold"), (f"  {what}", "")], 2, 4)
    if found.unread or bad:
        page.heading("Not judged")
        for line in (*found.unread, *bad):
            page.text(line, 2)
