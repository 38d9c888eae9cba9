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
    if proof.mistakes:
        page.gap()
        page.text("Mistakes:" if not proof.problems else "And mistakes:")
        _remarks(page, proof.mistakes, proof.file)
    if proof.advice:
        page.gap()
        count = len(proof.advice)
        number = NUMBERS[count] if count < len(NUMBERS) else str(count)
        opening = f"{'And ' if proof.problems or proof.mistakes else ''}{number} thing{'' if count == 1 else 's'}"
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
    places = len(proof.problems)
    if places:
        return f"{places} place{'' if places == 1 else 's'}, nothing in force"
    if proof.refused:
        which = "a change that is" if proof.refused == 1 else f"{proof.refused} changes that are"
        return f"{which} not allowed as written, nothing in force"
    said = f"{proof.rules} rule{'' if proof.rules == 1 else 's'} looked at"
    if proof.mistakes:
        count = len(proof.mistakes)
        return f"{said}, {count} mistake{'' if count == 1 else 's'}"
    return f"{said}, no mistakes"


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
