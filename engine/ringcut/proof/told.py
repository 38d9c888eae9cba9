"""What proofreading tells: a mistake, advice, or a change that is refused; each at its place, with what to write."""

from __future__ import annotations

import msgspec

from ringcut.reading.problems import Place

MISTAKE, ADVICE, REFUSED = "mistake", "advice", "refused"


class Remark(msgspec.Struct, frozen=True, order=True):
    """One thing found in a rulebook that reads."""

    place: Place
    kind: str
    """Which look found it, in kebab-case: ``dead-rule``, ``order-cycle`` and so on."""
    said: str
    """What is so, in a sentence."""
    instead: str = ""
    """What to write instead, or how to settle it."""
    weight: str = MISTAKE
    rules: tuple[str, ...] = ()
    """The rules it is about."""
    related: tuple[Place, ...] = ()
    """Other places that have to do with it, such as the rule of a layer below that a change breaks."""

    def __str__(self) -> str:
        return f"{self.place}: {self.said} {self.instead}".strip()
