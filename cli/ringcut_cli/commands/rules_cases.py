"""``ringcut rules cases``: run the cases that stand beside rules, and find the numbers that no case would notice."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from ringcut_cli.exits import Exit
from ringcut_cli.options import as_of_option, today

if TYPE_CHECKING:
    from ringcut.language.layering import Layered
    from ringcut_cli.shown.page import Page


@click.command()
@click.argument("path", required=False, metavar="[FILE|FOLDER]", type=click.Path(exists=True, path_type=Path))
@click.option("--rule", "rules", multiple=True, metavar="RULE", help="Only this rule; may be given several times.")
@click.option("--boundaries", is_flag=True, help="Also move every number one step each way, and run the cases again.")
@as_of_option
def command(path: Path | None, rules: tuple[str, ...], boundaries: bool, as_of: str | None) -> Exit:
    """Run the cases of a rulebook: of a folder all, of a house file those of its own rules.

    Without a path the built-in rulebook is run. Ends with 1 where a case does not come out as its author expects, or
    where no case would notice a number, be it a value or written into the formula. What a house file changes in rules
    below it is told and is no mistake: their cases show the values of their own layer.
    """
    from ringcut.language.layering import load_layers
    from ringcut.rulebookfiles import builtin_rulebook
    from ringcut_cli.shown.page import Page, out

    found = load_layers(path or builtin_rulebook(), builtin_rulebook(), as_of or today())
    chosen = _chosen(found, path, rules)
    page = Page()
    wrong = _cases(page, found, chosen)
    missed = _boundaries(page, found, chosen, everything=not rules and found.house is None) if boundaries else 0
    out(page.written())
    return Exit.NONCONFORMING if wrong or missed else Exit.CONFORMS


def _chosen(found: Layered, path: Path | None, rules: tuple[str, ...]) -> tuple[str, ...]:
    """The rules asked for; of a house file its own."""
    from ringcut.reading.suggest import canonical, near

    known = [rule.id for rule in found.book.rules]
    for name in rules:
        if canonical(name) not in known:
            close = near(name, known)
            raise click.UsageError(f"There is no rule {name}." + (f" Did you mean {close}?" if close else ""))
    if rules:
        return tuple(canonical(name) for name in rules)
    if found.house is None or path is None:
        return tuple(dict.fromkeys(known))
    touched = {effect.rule for _, effect in found.effects}
    own = [rule.id for rule in found.book.rules if rule.place.file == path.name or rule.id in touched and rule.values]
    return tuple(dict.fromkeys(own))


def _cases(page: Page, found: Layered, chosen: tuple[str, ...]) -> int:
    from ringcut.judge.cases import run_cases
    from ringcut_cli.shown.problemtext import sentence

    results = list(run_cases(found.book, chosen)) if chosen else []
    below = _below(found)
    wrong = [result for result in results if not result.passed and result.rule not in below]
    moved = [result for result in results if not result.passed and result.rule in below]
    of = f"{len(results)} case{'s'[: len(results) != 1]} of {len(chosen)} rule{'s'[: len(chosen) != 1]}"
    page.text(f"{of}: {len(results) - len(wrong) - len(moved)} as expected, {len(wrong)} not")
    for result in wrong:
        rule = found.book.rule(result.rule)
        page.gap()
        page.parts([(f"{result.rule}, case {result.number}", "bold"), (f"  {rule.place if rule else ''}", "")])
        for problem in result.problems:
            page.text(" ".join(sentence(part) for part in (problem.found, problem.expected, problem.hint) if part), 2)
        if not result.problems:
            page.text(f"expected {result.expected}, came out {result.verdict}", 2)
            page.text(result.message, 2)
    if moved:
        page.gap()
        page.text(f"{len(moved)} of rules below come out otherwise here, as the changes have it:")
    for result in moved:
        page.text(f"{result.rule}, case {result.number}: {result.expected} there, {result.verdict} here", 2)
    return len(wrong)


def _below(found: Layered) -> set[str]:
    """The rules of the layers below a house file."""
    return {rule.id for rule in found.lower.rules} if found.lower is not None else set()


def _boundaries(page: Page, found: Layered, chosen: tuple[str, ...], everything: bool) -> int:
    from ringcut.proof.boundaries import unnoticed

    assert found.sources is not None
    below = _below(found)
    # the cases of a rule below show the value of its own layer: an author cannot add to them
    every = unnoticed(found.book, found.sources, None if everything else chosen)
    missed = sorted(each for each in every if each.rule not in below)
    page.gap()
    moves = "1 move" if len(missed) == 1 else f"{len(missed)} moves"
    page.text(f"{moves} of a number by one step that no case notices" + (":" if missed else ""))
    for each in missed:
        page.text(f"{each.place}  {each}", 2)
    return len(missed)
