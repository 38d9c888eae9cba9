"""What good crews do differently is never flagged, and what looks like it but is wrong is found under its own rule.

One file each, all of them invented; common practice, no source. The first comment is the sentence of the practice, the
second what this file does, the third what comes out: ``conforms``; ``undetermined`` and why; ``nonconforming`` or
``undetermined`` and the rule that says it; ``refused`` and the reading that cannot be.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from ringcut.checking import check
from ringcut.judge.findings import NONCONFORMING, UNDETERMINED
from ringcut.language.ir import Rulebook
from ringcut.reading.problems import Unreadable

HERE = Path(__file__).parent
GOOD = sorted((HERE / "good").glob("*.yaml"))
FOUND = sorted((HERE / "found").glob("*.yaml"))

SENTENCES = [
    "First gas test bad, ventilated, second good, entered.",
    "A continuous meter instead of hourly tests.",
    "Torch out for two hours, no test then.",
    "Guards set before the cover came off.",
    "A plug passes: zero check fails, bled again.",
    "The opening grew while cutting back to dry paper.",
    "Two closures on one order, each scuffed and shrunk.",
    "A layer redone.",
    "Three passes on a rough step.",
    "The desk told from the truck after leaving.",
    "Pressure read by the desk next morning.",
    "Overnight under a weather wrap.",
    "Old cable with low insulation resistance.",
    "A bar or ribbon instead of a wire.",
    "Sheath hot from the sun.",
    "Plastic core without desiccant.",
    "Channel assembled on top and then turned.",
    "Scuff dust wiped before the flame.",
    "n/a on a pole's gas test.",
    "Office entering the sheet next day.",
    "0 psi, 0 %LFL, 20.9 % and nominal lengths equal on every job.",
]
"""Every sentence of what good crews do differently."""


def header(path: Path) -> tuple[str, str, list[str]]:
    """The sentence, what the file does, and what is expected of it."""
    lines = [line.removeprefix("# ") for line in path.read_text(encoding="utf-8").splitlines()[:3]]
    assert lines[2].startswith("Expected: "), path
    return lines[0], lines[1], lines[2].removeprefix("Expected: ").split(", ")


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)
def test_good_work_is_not_flagged(path: Path, book: Rulebook) -> None:
    expected = header(path)[2]
    report = check(path.read_bytes(), path.name, book)
    assert [finding.message for finding in report.findings if finding.verdict == NONCONFORMING] == []
    assert report.verdict == expected[0]
    assert {finding.why_undetermined for finding in report.findings} == set(expected[1:])


@pytest.mark.parametrize("path", FOUND, ids=lambda path: path.stem)
def test_a_defect_is_found_under_its_own_rule(path: Path, book: Rulebook) -> None:
    verdict, *named = header(path)[2]
    if verdict == "refused":
        with pytest.raises(Unreadable, match=named[0]):
            check(path.read_bytes(), path.name, book)
        return
    report = check(path.read_bytes(), path.name, book)
    assert report.verdict == verdict
    said = {finding.rule for finding in report.findings if finding.verdict == verdict}
    assert set(named) <= said
    if verdict == UNDETERMINED:
        assert said == set(named)


def test_every_sentence_has_a_file_whole_and_by_milestones() -> None:
    forms: dict[str, set[str]] = {sentence: set() for sentence in SENTENCES}
    for path in GOOD:
        forms[header(path)[0]].add(path.stem.rsplit("-", 1)[1])
    assert len(GOOD) >= 60
    assert [sentence for sentence, seen in forms.items() if not {"whole", "milestones"} <= seen] == []


def test_no_file_says_the_same_as_another() -> None:
    texts = [re.sub(r"^#.*\n", "", path.read_text(encoding="utf-8"), flags=re.MULTILINE) for path in GOOD + FOUND]
    assert len(set(texts)) == len(texts)
