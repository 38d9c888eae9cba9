"""What proofreading found, for an author: places first, then what reads well but may not be meant."""

from __future__ import annotations

from collections.abc import Sequence

from ringcut.proof.proofread import Proof
from ringcut.proof.told import Remark
from ringcut.reading.problems import Place
from ringcut_cli.shown.page import Page
from ringcut_cli.shown.problemtext import sentence

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


def proof_page(page: Page, proof: Proof, file: str) -> None:
    """Write the proof of one rulebook."""
    page.parts([(file, "bold"), (f": {_headline(proof)}", "")])
    if proof.problems:
        page.gap()
        for problem in proof.problems:
            told = " ".join(sentence(part) for part in (problem.expected, problem.hint) if part)
            _row(page, problem.place, proof.file, problem.found, told)
    if proof.refused:
        page.gap()
        told = "a change that is" if len(proof.refused) == 1 else "changes that are"
        opening = f"and {told}" if proof.problems else told
        page.text(f"{opening[:1].upper()}{opening[1:]} not allowed as written:")
        _remarks(page, proof.refused, proof.file)
    if proof.mistakes:
        page.gap()
        page.text("And mistakes:" if proof.problems or proof.refused else "Mistakes:")
        _remarks(page, proof.mistakes, proof.file)
    if proof.advice:
        page.gap()
        count = len(proof.advice)
        number = NUMBERS[count] if count < len(NUMBERS) else str(count)
        first = not (proof.problems or proof.refused or proof.mistakes)
        opening = f"{'' if first else 'And '}{number} thing{'' if count == 1 else 's'}"
        verb = "reads" if count == 1 else "read"
        page.text(f"{opening[:1].upper()}{opening[1:]} that {verb} well but may not mean what you want:")
        _remarks(page, proof.advice, proof.file)
    if proof.read_as:
        page.gap()
        page.text(f"Read as: {'; '.join(proof.read_as)}.")
    if proof.in_force and proof.changes:
        page.gap()
        page.text("What the changes do:")
        for change in proof.changes:
            page.text(sentence(change), 2)


def _headline(proof: Proof) -> str:
    if proof.problems:
        return f"{_count(len(proof.problems), 'place')}, nothing in force"
    if proof.refused:
        changes = len({each.place for each in proof.refused})
        return f"{_count(changes, 'change')} not allowed as written, nothing in force"
    mistakes = _count(len(proof.mistakes), "mistake") if proof.mistakes else "no mistakes"
    return f"{_count(proof.rules, 'rule')} looked at, {mistakes}"


def _count(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"


def _remarks(page: Page, remarks: Sequence[Remark], file: str) -> None:
    for remark in remarks:
        seen = f"See {', '.join(map(str, remark.related))}." if remark.related else ""
        told = " ".join(part for part in (sentence(remark.instead) if remark.instead else "", seen) if part)
        _row(page, remark.place, file, sentence(remark.said), told)


def _row(page: Page, place: Place, file: str, found: str, told: str) -> None:
    column = place.letter or (str(place.column) if place.column else "")
    at = f"{place.line}:{column}" if place.line and column else str(place.line or "")
    if place.file not in (file, ""):
        page.text(str(place), 1, "bold")
        at = ""
    page.row((f"{at:>6}", found, told), (6, max(page.width // 2 - 6, 20)), styles=("bold", "", ""))
