"""Rules as people read them: what is required, why, what to do, where it comes from; the formula comes last."""

from __future__ import annotations

from typing import Any

from ringcut.language.ir import Rule, Rulebook
from ringcut_cli.shown.page import Page

INDENT, HANG = 2, 12


def list_page(page: Page, book: Rulebook, subject: str = "", class_: str = "") -> None:
    """Every rule of a rulebook, or those of a subject or class, by subject."""
    chosen = [rule for rule in book.rules if subject in ("", rule.subject) and class_ in ("", rule.class_)]
    page.text(f"{book.name}, edition {book.edition}: {len(chosen)} of {len(book.rules)} rules")
    for name in book.subjects:
        rules = [rule for rule in chosen if rule.subject == name]
        if not rules:
            continue
        page.heading(name, book.subjects[name].says)
        page.gap()
        for rule in rules:
            page.parts(
                [(f"{rule.class_:<8}", "bold" if rule.class_ == "critical" else ""), (f"  {rule.id}", "bold")], INDENT
            )
            page.text(rule.says, HANG)


def rule_page(page: Page, rule: Rule, book: Rulebook) -> None:
    """One rule."""
    page.gap()
    page.ends([(rule.id, "bold")], f"{rule.class_}, {rule.subject}")
    page.gap()
    page.text(rule.says, INDENT)
    page.gap()
    page.field("why", rule.reason, INDENT, HANG)
    page.field("do", rule.remedy, INDENT, HANG)
    page.field("basis", str(rule.basis), INDENT, HANG)
    for name, value in rule.values.items():
        told = f"{name} = {value.text}"
        told += f" (the clause fixes {value.bound})" if value.bound else ""
        told += f"; {value.basis}; {value.place}"
        told += f", {value.origin}" if value.origin else ""
        page.field("value", told, INDENT, HANG)
    page.field("applies", _when(rule, book), INDENT, HANG)
    if rule.follows_from:
        page.field(
            "follows", f"from {', '.join(rule.follows_from)}: told under it where one cause breaks both", INDENT, HANG
        )
    again = "every time the step is done, not only the last" if rule.judge_every else ""
    page.field("judged", again, INDENT, HANG)
    page.field("by hand", "first, and by a person: correct offers nothing before" if rule.by_hand else "", INDENT, HANG)
    for case in rule.cases:
        page.field("case", _case(case), INDENT, HANG)
    page.field("written", f"{rule.place}" + (f", {rule.origin}" if rule.origin else ""), INDENT, HANG)
    for key, words in rule.text.items():
        if key != "when":
            page.field("formula", f"{key}: {words}", INDENT, HANG)
    page.field("rulebook", f"{book.name}, edition {book.edition}", INDENT, HANG)


def _when(rule: Rule, book: Rulebook) -> str:
    """When a rule applies; a fact that stands alone is said in words too."""
    told = rule.text.get("when", "always")
    fact = book.facts.get(told)
    return f"{told}: {fact.says}" if fact and fact.says else told


def _case(case: Any) -> str:
    if not isinstance(case, dict):
        return flow(case)
    rest = {key: value for key, value in case.items() if key != "verdict"}
    told = "; ".join(f"{key}: {flow(value)}" for key, value in rest.items())
    return f"{case.get('verdict', 'no verdict')} when {told}"


def flow(data: Any) -> str:
    """Plain data in one line, as YAML would have it."""
    if isinstance(data, dict):
        return "{" + ", ".join(f"{key}: {flow(value)}" for key, value in data.items()) + "}"
    if isinstance(data, list | tuple):
        return "[" + ", ".join(flow(each) for each in data) + "]"
    if isinstance(data, bool):
        return "yes" if data else "no"
    return "" if data is None else str(data)
