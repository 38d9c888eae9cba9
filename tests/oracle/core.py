"""Before the core disappears: pairs clear, core dry, desiccant and muslin on paper, insulation read."""

from __future__ import annotations

from collections.abc import Callable

from .plain import NA, OK, Story, Verdict, before_each, where, worst

CLOSING = {"wrap-muslin", "wrap-polyethylene-tape", "wrap-rubber-tape"}


def pairs_clear(story: Story) -> Verdict:
    """The desk finds the pairs clear after the last repair and before the core is closed."""
    if not story.opening:
        return NA
    clear = False
    found: list[Verdict] = []
    for step in story.steps:
        if step.do == "repair-conductors":
            clear = False
        if step.do == "clear-with-test-desk":
            clear = True
        if step.do in CLOSING:
            found.append(OK if clear else story.absent("clear-with-test-desk"))
    return worst(found)


def paper(story: Story) -> bool | None:
    """Whether the core is paper or pulp."""
    return None if story.fact("core") is None else story.fact("core") == "paper"


def desiccant(story: Story) -> Verdict:
    """Desiccant lies on a paper core before it is covered."""
    if not story.opening:
        return NA
    return where(paper(story), before_each(story, ["place-desiccant"], CLOSING))


def muslin(story: Story) -> Verdict:
    """Muslin is around a paper core before tape comes on."""
    if not story.opening:
        return NA
    return where(paper(story), before_each(story, ["wrap-muslin"], CLOSING - {"wrap-muslin"}))


def insulation(story: Story) -> Verdict:
    """Insulation is read before the repair and again after it; the numbers of old cable offend nobody."""
    if not story.opening or not story.done("repair-conductors"):
        return NA
    first = story.steps.index(story.done("repair-conductors")[0])
    last = story.steps.index(story.done("repair-conductors")[-1])
    before = [step for step in story.steps[:first] if step.do == "measure-insulation"]
    after = [step for step in story.steps[last:] if step.do == "measure-insulation"]
    if not before or not after:
        return story.absent("measure-insulation")
    read = [step.text("resistance") is not None for step in story.done("measure-insulation")]
    return OK if all(read) else story.missing("resistance")


ROWS: dict[str, Callable[[Story], Verdict]] = {
    "pairs-clear": pairs_clear,
    "desiccant": desiccant,
    "muslin": muslin,
    "insulation-read": insulation,
}
