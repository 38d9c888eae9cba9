"""Rules that read well and may not mean what their author wants: advice, never a mistake."""

from __future__ import annotations

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.proof.told import ADVICE, Remark
from ringcut.reading.suggest import canonical


def every_doing(book: ir.Rulebook, rules: tuple[ir.Rule, ...]) -> list[Remark]:
    """Limits on what a test reads that look at every doing, also at a first bad one that was mended in time.

    Told where the step stands for itself each time and a condition is already set by that reading.
    """
    found = []
    for rule in rules:
        if not isinstance(rule.form, ir.Limit) or rule.form.use:
            continue
        read = [node for node in n.walk(rule.form.what) if isinstance(node, n.Reading)]
        anchor = [step for step in rule.form.of.names if book.steps[step].again == "another"]
        for step in anchor:
            known = book.steps[step].readings
            names = {node.name for node in read if node.step == step and not known[node.name].planned}
            conditions = _set_by(book.steps[step], names)
            if conditions:
                found.append(_advice(book, rule, step, conditions[0]))
                break
    return found


def _set_by(step: ir.Step, readings: set[str]) -> list[str]:
    """Conditions that a step sets from some of these readings; those that also go false first."""
    told = [
        effect
        for effect in step.effects
        if not isinstance(effect.to, n.Fixed)
        and {node.name for node in n.walk(effect.to) if isinstance(node, n.Reading)} & readings
    ]
    return [effect.condition for effect in told]


def _advice(book: ir.Rulebook, rule: ir.Rule, step: str, condition: str) -> Remark:
    before = _later_step(book, rule, step)
    words = book.steps[step].says or step
    said = (
        f"{rule.id}: this limit looks at every {step} of the job ({words}), also at a first bad one after which the "
        "work waited until a later one was good."
    )
    before = before or "the step it guards"
    instead = f"Probably: need: a condition that {step} sets, such as {condition}, before: {before}."
    return Remark(rule.place, "every-doing", said, instead, ADVICE, (rule.id,))


def _later_step(book: ir.Rulebook, rule: ir.Rule, step: str) -> str:
    """The step that the rule's cases put behind the test, if they agree on one."""
    named: set[str] = set()
    for case in rule.cases:
        steps = case.get("steps", case.get("log", [])) if isinstance(case, dict) else []
        for each in steps if isinstance(steps, list) else []:
            text = each.get("do", "") if isinstance(each, dict) else each
            name = canonical(str(text))
            named.add(book.synonyms.get(name, name))
    left = sorted((named & set(book.steps)) - {step})
    return left[0] if len(left) == 1 else ""


def undoable(book: ir.Rulebook, rules: tuple[ir.Rule, ...]) -> list[Remark]:
    """Order rules on a step whose work another step undoes: order does not see the undoing."""
    found = []
    for rule in rules:
        if not isinstance(rule.form, ir.Order):
            continue
        for earlier, later in zip(rule.form.links, rule.form.links[1:], strict=False):
            undone = [_undone(book, name) for name in earlier.names]
            if undone and all(condition for condition, _ in undone):
                condition, ender = undone[0]
                said = (
                    f"{rule.id}: {ender} undoes what {earlier.text} did ({condition}), and an order does not see it: "
                    f"{earlier.text}, {ender}, {later.text} would conform."
                )
                instead = f"Write: need: {condition}, before: {later.text}."
                found.append(Remark(rule.place, "order-undone", said, instead, ADVICE, (rule.id,)))
                break
    return found


def _undone(book: ir.Rulebook, name: str) -> tuple[str, str]:
    """A condition that a step makes and its counterpart ends, with that counterpart; empty where there is none.

    A counterpart does nothing but end what the step made, or each of the two makes what the other ends.
    """
    made, ended = _made(book, name, True), _made(book, name, False)
    for other in book.steps:
        makes, ends = _made(book, other, True), _made(book, other, False)
        only_ends = not makes and len(ends) == len(book.steps[other].effects) and ends <= made
        if other != name and made & ends and (only_ends or makes & ended):
            return sorted(made & ends)[0], other
    return "", ""


def _made(book: ir.Rulebook, name: str, value: bool) -> set[str]:
    return {effect.condition for effect in book.steps[name].effects if effect.to == n.Fixed(value)}
