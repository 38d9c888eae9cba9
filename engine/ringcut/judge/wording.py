"""A judgement put into words and located: the finding a person reads."""

from __future__ import annotations

from ringcut.forms.instance import Context, Instance
from ringcut.forms.need import spoken, told
from ringcut.judge.findings import NONCONFORMING, UNDETERMINED, Finding
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.reading.problems import Place
from ringcut.relations.truth import NO, Cause, Truth


def finding_of(context: Context, instance: Instance, truth: Truth, file: str) -> Finding:
    """The finding of one instance that is false or unknown."""
    rule, view = context.rule, context.view
    place = _place(context, instance)
    said = _told(context, instance, truth)
    causes = tuple(dict.fromkeys(said.values()))
    only_facts = truth.level != NO and bool(truth.causes) and all(cause.kind == "fact" for cause in truth.causes)
    unlisted = truth.level != NO and bool(truth.causes) and all(each.kind == "table" for each in truth.causes)
    unlisted = unlisted and bool(truth.causes[0].others)
    found = causes[0] if (only_facts or unlisted) and causes else instance.found or (causes[0] if causes else "")
    needed = f"a {truth.causes[0].others[0]} that stands there" if unlisted else instance.needed or _needed(context)
    steps = _steps(context, instance, truth)
    evidence = tuple(dict.fromkeys((*(said.get(line, line) for line in instance.evidence), *causes)))
    wrong = found
    if needed and needed != found:
        wrong = f"{found}; needed: {needed}" if found else f"needed: {needed}"
    if instance.margin:
        wrong += f" ({instance.margin})"
    return Finding(
        rule=rule.id,
        class_=rule.class_,
        verdict=NONCONFORMING if truth.level == NO else UNDETERMINED,
        why_undetermined="" if truth.level == NO else _why(truth),
        file=place.file or file,
        line=place.line,
        column=place.column,
        letter=place.letter,
        side=instance.side,
        closure=view.closure,
        steps=steps,
        found=found,
        needed=needed,
        margin=instance.margin,
        message=wrong or rule.says,
        evidence=evidence,
        example_order=_example(context, instance, truth),
        remedy=_remedy(truth) if only_facts else _listed(truth) if unlisted else rule.remedy,
        basis=str(rule.basis),
        says=rule.says,
        subject=rule.subject,
    )


def _told(context: Context, instance: Instance, truth: Truth) -> dict[str, str]:
    """Each cause in words, and as it is told: without a side where the finding stands for all sides."""
    whole = context.rule.sided and not instance.side
    return {
        told(context, cause): told(context, cause._replace(side="") if whole else cause)
        for cause in truth.causes
        if cause.kind != "value"
    }


def _why(truth: Truth) -> str:
    known = [cause.why for cause in truth.causes if cause.why]
    return known[0] if known else "not recorded"


def _place(context: Context, instance: Instance) -> Place:
    view, at = context.view, _told_at(context, instance)
    if at < 0:
        found = [index for cause in instance.truth.causes for index in (cause.at, cause.by) if index >= 0]
        at = found[0] if found else -1
    if at < 0:
        return view.procedure.place
    each = view.occurrences[at]
    for key in ((instance.reading, instance.side), (instance.reading, "")):
        if key in each.texts:
            return each.texts[key][1]
    if isinstance(context.rule.form, ir.Limit):
        for node in n.walk(context.rule.form.what):
            if isinstance(node, n.Reading) and node.step == each.step:
                for key in ((node.name, instance.side), (node.name, "")):
                    if key in each.texts:
                        return each.texts[key][1]
    return each.place


def _told_at(context: Context, instance: Instance) -> int:
    """The doing that a person would change; the last one, where the rule names it, else where the form looked."""
    doings = (context.view.where((name,)) for name in context.rule.told_at)
    return next((found[-1] for found in doings if found), instance.at)


def _remedy(truth: Truth) -> str:
    """What to do where only the job's facts are missing: write them."""
    missing = dict.fromkeys(cause.what for cause in truth.causes)
    return f"Write {' and '.join(missing)} in the job, then judge again."


def _listed(truth: Truth) -> str:
    """What to do where a list lacks what the procedure names."""
    return f"Take a {truth.causes[0].others[0]} that stands there, or give the list in which it stands."


def _needed(context: Context) -> str:
    text, form = context.rule.text, context.rule.form
    match form:
        case ir.Need(before=before):
            return f"{spoken(context, text['need'])} before {before.spoken}"
        case ir.Keep():
            said = spoken(context, text["keep"])
            said += f" while {spoken(context, text['while'])}" if "while" in text else ""
            said += f" from {text['from']}" if "from" in text else ""
            return said + (f" until {text['until']}" if "until" in text else "")
        case _:
            return ""


def _steps(context: Context, instance: Instance, truth: Truth) -> tuple[str, ...]:
    indexes = [_told_at(context, instance), instance.at, *(i for cause in truth.causes for i in (cause.at, cause.by))]
    named = [
        context.view.occurrences[i].label for i in dict.fromkeys(indexes) if 0 <= i < len(context.view.occurrences)
    ]
    named += [step for cause in truth.causes if cause.kind == "absent" for step in cause.others]
    return tuple(dict.fromkeys(named))


def _example(context: Context, instance: Instance, truth: Truth) -> tuple[str, ...]:
    if not instance.path or context.order.total or not context.view.plan or _in_every_order(context, truth):
        return ()
    from ringcut.relations.search import full_order

    return tuple(context.view.occurrences[i].label for i in full_order(context.conditions, instance.path))


def _in_every_order(context: Context, truth: Truth) -> bool:
    """Whether the causes hold however the plan is followed, so that no single order would show more."""
    return bool(truth.causes) and all(_always(context, cause) for cause in truth.causes)


def _always(context: Context, cause: Cause) -> bool:
    before = context.order.before
    match cause.kind:
        case "absent":
            return True
        case "swapped":
            return min(cause.at, cause.by) >= 0 and before(cause.at, cause.by)
        case "lost":
            # ended before the use, and each step that makes it again stands before the end or behind the use
            makers = [index for index in context.view.where(cause.others) if index != cause.at]
            late = (index for index in makers if cause.at < 0 or not before(index, cause.at))
            ended = cause.at < 0 or cause.use < 0 or cause.at == cause.use or before(cause.at, cause.use)
            return ended and all(cause.use >= 0 and before(cause.use, index) or index == cause.use for index in late)
    return False
