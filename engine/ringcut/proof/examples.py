"""For a changed rule, a smallest procedure that the one rulebook accepts and the other does not.

The small procedures over what the rule looks at are gone through in the order of their size. Where that is too many,
the cases that stand beside the rule are tried with other readings, and what they show is made smaller. An honest
search: it says whether everything smaller was tried, and where it finds nothing it says so; that proves nothing.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence

import msgspec

from ringcut.judge.cases import case_document
from ringcut.judge.findings import NONCONFORMING, UNDETERMINED
from ringcut.proof.alphabet import alphabet
from ringcut.proof.judged import ACCEPTED, LOOSER, TIGHTER, Document, Judged
from ringcut.proof.sight import sight
from ringcut.proof.situations import situations
from ringcut.proof.smallest import Size, procedures, size_of

MOST_JUDGED = 1500
MOST_FROM_CASES = 400


class Example(msgspec.Struct, frozen=True):
    """A procedure on which the two rulebooks differ, as YAML data, and what each says by the rule."""

    document: Document
    old: str
    new: str
    smallest: bool = False
    """Whether every smaller procedure over what the rule looks at was tried."""


def way(old: str, new: str) -> tuple[str, bool]:
    """Which way two verdicts differ, and whether the one accepts and the other refuses; ``""``: not at all."""
    ranks = [
        0 if said in ACCEPTED else 1 if said == UNDETERMINED else 2 if said == NONCONFORMING else -1
        for said in (old, new)
    ]
    if -1 in ranks or ranks[0] == ranks[1]:
        return "", False
    return TIGHTER if ranks[0] < ranks[1] else LOOSER, abs(ranks[0] - ranks[1]) == 2


def examples(rule: str, judged: Judged, ways: Sequence[str], most: int = MOST_JUDGED) -> list[Example]:
    """An example for each of the ways in which the rulebooks may differ by a rule, where one is found.

    ``most``: how many of the small procedures are judged before it is left to the cases.
    """
    search = _Search(rule, judged, ways)
    search.through_sizes(most)
    search.through_cases()
    return [each for name in ways if (each := search.best(name)) is not None]


class _Search:
    """The best examples so far: those where the one accepts and the other refuses, before those less clear."""

    def __init__(self, rule: str, judged: Judged, ways: Sequence[str]) -> None:
        self.rule, self.judged, self.ways = rule, judged, ways
        self.found: dict[tuple[str, bool], Example] = {}
        pairs = zip(judged.variants(rule)[::-1], (judged.new, judged.old), strict=True)
        sights = [sight(rules, book) for rules, book in pairs if rules]
        self.letters = alphabet(sights)
        self.jobs = situations(sights, self.letters.numbers)
        self.tried = Size(0, 0)
        """Every procedure smaller than this was judged."""

    def best(self, name: str) -> Example | None:
        """The example for a way."""
        found = self.found.get((name, True)) or self.found.get((name, False))
        if found is None:
            return None
        smallest = (name, True) in self.found and size_of(found.document) <= self.tried
        return msgspec.structs.replace(found, smallest=smallest)

    def _open(self) -> bool:
        return any((name, True) not in self.found for name in self.ways)

    def _look(self, document: Document) -> Example | None:
        said = self.judged.both(self.rule, document, self.ways)
        name, clear = way(*said)
        if name not in self.ways:
            return None
        example = Example(document, *said)
        known = self.found.get((name, clear))
        if known is None or size_of(document) < size_of(known.document):
            self.found[name, clear] = example
        return example

    def through_sizes(self, most: int) -> None:
        """Smallest first, until every way is found or ``most`` were judged."""
        most += self.judged.asked
        for size, document in procedures(self.letters, self.jobs):
            self.tried = size
            if not self._open() or self.judged.asked >= most:
                return
            self._look(document)

    def through_cases(self) -> None:
        """The cases beside the rule with other readings, made smaller where they show a difference."""
        most = self.judged.asked + MOST_FROM_CASES
        for document in self._from_cases():
            if not self._open() or self.judged.asked >= most:
                return
            example = self._look(document)
            if example is not None:
                self._made_smaller(example)

    def _from_cases(self) -> Iterator[Document]:
        rules = [rule for variant in self.judged.variants(self.rule) for rule in variant]
        cases = {json.dumps(case): case for rule in rules for case in rule.cases if isinstance(case, dict)}
        documents = []
        for case in sorted(cases.values(), key=lambda each: len(json.dumps(each))):
            document = case_document(self.judged.new, case)
            documents += [{**document, "job": {**job, **(document.get("job") or {})}} for job in self.jobs]
        yield from documents
        values = {(letter.step, slot.name): slot.values for letter in self.letters.letters for slot in letter.slots}
        for document in documents:
            for at, step in enumerate(document["steps"]):
                for key in step if isinstance(step, dict) else ():
                    for value in values.get((step.get("do", ""), key), ()):
                        yield {
                            **document,
                            "steps": [*document["steps"][:at], {**step, key: value}, *document["steps"][at + 1 :]],
                        }

    def _made_smaller(self, example: Example) -> None:
        """The example without the steps, readings and facts that it does not need."""
        document, wanted = example.document, (example.old, example.new)
        smaller = True
        while smaller:
            smaller = False
            for fewer in _fewer(document):
                if self.judged.both(self.rule, fewer) == wanted:
                    document, smaller = fewer, True
                    self._look(document)
                    break


def _fewer(document: Document) -> Iterator[Document]:
    """The document without one step, one fact, or one key of a step."""
    steps = document["steps"]
    for at in reversed(range(len(steps))):
        if len(steps) > 1:
            yield {**document, "steps": [*steps[:at], *steps[at + 1 :]]}
    for fact in document.get("job") or {}:
        yield {**document, "job": {name: value for name, value in document["job"].items() if name != fact}}
    for at, step in enumerate(steps):
        for key in [key for key in step if key != "do"] if isinstance(step, dict) else ():
            left = {name: value for name, value in step.items() if name != key}
            yield {**document, "steps": [*steps[:at], left if len(left) > 1 else left["do"], *steps[at + 1 :]]}
