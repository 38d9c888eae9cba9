"""Judge a procedure: every rule in force, each closure, each side; verdicts, findings, what is left to measure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import msgspec

from ringcut import __version__
from ringcut.forms.instance import Acceptance, Context, Instance
from ringcut.forms.judging import instances
from ringcut.forms.pattern import looks_at_place
from ringcut.judge import cover
from ringcut.judge.anywhere import Looks, judged_anywhere
from ringcut.judge.causes import Draft, causes_in, grouped
from ringcut.judge.doubted import Judged, either_way, looks_at_order
from ringcut.judge.findings import (
    CLASSES,
    CONFORMS,
    NONCONFORMING,
    NOT_APPLICABLE,
    UNDER_CONCESSION,
    UNDETERMINED,
    Counts,
    Digests,
    Finding,
    Notice,
    Report,
    RuleVerdict,
    ToMeasure,
)
from ringcut.judge.loose import tied
from ringcut.judge.overall import SAID, overall
from ringcut.judge.tomeasure import Broken, to_measure
from ringcut.judge.wording import finding_of
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.relations.conditions import Conditions
from ringcut.relations.evaluate import truth
from ringcut.relations.procedure import Procedure
from ringcut.relations.truth import NO, OPEN, TRUE, UNKNOWN, YES, Cause, Level, Truth, meant, together
from ringcut.relations.view import View


class Outcome:
    """Everything one closure of a procedure gave: verdict levels by rule, drafts of findings, acceptances."""

    def __init__(self) -> None:
        self.levels: dict[str, Level | None] = {}
        self.drafts: list[Draft] = []
        self.accepts: list[tuple[View, Acceptance]] = []
        self.broken: list[Broken] = []
        self.subjects: set[str] = set()
        """Subjects with a rule that applies to the job, whether or not there was anything to look at."""


def judge_procedure(
    procedure: Procedure,
    book: ir.Rulebook,
    *,
    file: str = "",
    as_of: str = "",
    rules: Iterable[str] | None = None,
) -> Report:
    """Judge by every rule in force, or only by those named. ``as_of``: the day judged for, ISO 8601."""
    wanted = None if rules is None else set(rules)
    views = [View(procedure, book, closure) for closure in procedure.closures]
    outcome = Outcome()
    chosen = [rule for rule in book.rules if wanted is None or rule.id in wanted]
    for view in views:
        conditions = Conditions(view)
        for rank, rule in enumerate(chosen):
            _judge_rule(rule, rank, view, conditions, outcome, file)
    drafts = _distinct(outcome.drafts)
    _find_loose(procedure, book, chosen, drafts)
    findings = grouped(drafts)
    gaps = cover.not_covered(views[0])
    unsaid = cover.unknown_cover(views[0]) if wanted is None else []
    once = {rule.id: rule for rule in reversed(chosen)}
    verdicts = [_verdict(rule, outcome.levels.get(rule.id), findings) for rule in reversed(once.values())]
    return _report(procedure, book, views, outcome, findings, verdicts, gaps, unsaid, file, as_of)


def _find_loose(procedure: Procedure, book: ir.Rulebook, chosen: Sequence[ir.Rule], drafts: Sequence[Draft]) -> None:
    """Mark the findings that are there only because a step of a plan comes before nothing."""
    broken = {draft.rule.id for draft in drafts}
    for words, other in tied(procedure) if drafts else ():
        outcome = Outcome()
        for view in [View(other, book, closure) for closure in other.closures]:
            conditions = Conditions(view)
            for rank, rule in enumerate(chosen):
                if rule.id in broken:
                    _judge_rule(rule, rank, view, conditions, outcome, "")
        left = {_whereabouts(draft.finding) for draft in outcome.drafts}
        for draft in drafts:
            if not draft.loose and _whereabouts(draft.finding) not in left:
                draft.loose = words


def _whereabouts(finding: Finding) -> tuple[object, ...]:
    return finding.rule, finding.closure, finding.line, finding.column


def _distinct(drafts: Sequence[Draft]) -> list[Draft]:
    """Findings of shared steps are the same in every closure: told once."""
    seen: set[tuple[object, ...]] = set()
    kept = []
    for draft in drafts:
        finding = draft.finding
        key = (finding.rule, finding.verdict, finding.line, finding.side, finding.found, finding.message)
        if key not in seen:
            seen.add(key)
            kept.append(draft)
    return kept


def _judge_rule(rule: ir.Rule, rank: int, view: View, conditions: Conditions, outcome: Outcome, file: str) -> None:
    context = Context(rule, view, conditions)
    judged = _judged(context)
    if judged is None:
        outcome.levels.setdefault(rule.id, None)
        return
    outcome.subjects.add(rule.subject)
    found = [(instance, told) for instance, told in judged if told.level >= UNKNOWN]
    for instance, told in judged:
        if told.level == OPEN:
            outcome.accepts += [(view, accept) for accept in instance.accepts]
    outcome.broken += [(view, each.at, cause) for each, told in found if told.level == NO for cause in told.causes]
    for instance, told in _merged(found, isinstance(rule.form, ir.Keep)):
        finding = finding_of(context, instance, told, file)
        outcome.drafts.append(Draft(finding, told, rule, rank, view))
    worst, old = _worst(judged), outcome.levels.get(rule.id)
    outcome.levels[rule.id] = worst if old is None else old if worst is None else max(old, worst)


def level_of(rule: ir.Rule, view: View, conditions: Conditions) -> Level | None:
    """How a rule stands in one closure of a procedure, without telling why; None: it does not apply."""
    judged = _judged(Context(rule, view, conditions))
    return None if judged is None else _worst(judged)


def _worst(judged: list[tuple[Instance, Truth]]) -> Level | None:
    return max((told.level for _, told in judged), default=None)


def _judged(context: Context) -> list[tuple[Instance, Truth]] | None:
    """The instances that apply, each with its truth in this job; None where the rule does not apply to the job."""
    rule, view = context.rule, context.view
    applies = {side: _applies(rule, view, side) for side in (view.sides if rule.sided else ("",))}
    if all(found.level == NO for found in applies.values()):
        return None
    if not looks_at_order(rule):
        return _with_truth(context, applies)

    def judge(given: Context) -> Judged:
        return judged_anywhere(given, _looks(given.view.lost, given.view), lambda each: _with_truth(each, applies))

    by_list = context.conditions.by_list
    if by_list is None:
        return judge(context)
    return either_way(judge(context), judge(Context(rule, by_list.view, by_list)), context)


def _with_truth(context: Context, applies: dict[str, Truth]) -> list[tuple[Instance, Truth]]:
    return [
        (instance, _unplaced(_with_when(instance.truth, when), context.rule, context.view))
        for instance in instances(context)
        if (when := applies.get(instance.side, next(iter(applies.values())))).level != NO
    ]


def _applies(rule: ir.Rule, view: View, side: str) -> Truth:
    return TRUE if rule.when is None else truth(rule.when, view, side)


def _with_when(found: Truth, when: Truth) -> Truth:
    """Kleene implication: not known to apply, and not fulfilled: undetermined, for the fact that is not known."""
    if when.level == YES or found.level <= OPEN:
        return found
    return Truth(UNKNOWN, when.causes or found.causes, when.alternatives if when.causes else found.alternatives)


def _unplaced(found: Truth, rule: ir.Rule, view: View) -> Truth:
    """An entry without a time in a list without order is ignorance: what may hang on its place is undetermined."""
    if found.level != NO or view.plan or not looks_at_order(rule):
        return found
    looks = _looks([each.index for each in view.occurrences if not each.placed], view)
    lost = [each for each in view.occurrences if not each.placed and looks(rule.form, each.step, view.book)]
    steps = {each.step for each in lost}
    if isinstance(rule.form, ir.Order) and found.causes and all(_nowhere(cause, steps) for cause in found.causes):
        return found
    if not lost:
        return found
    cause = Cause("time", lost[0].label, "", lost[0].index, why="not recorded")
    return Truth(UNKNOWN, (cause,))


def _nowhere(cause: Cause, lost: set[str]) -> bool:
    """Whether what an order demands is in no entry, wherever those without a place stand."""
    return cause.kind == "absent" and lost.isdisjoint(cause.others)


def _looks(lost: Iterable[int], view: View) -> Looks:
    """Which steps a rule looks at, where some entries have no place."""
    steps = {view.occurrences[each].step for each in lost}

    def looks(form: ir.Form, step: str, book: ir.Rulebook) -> bool:
        if isinstance(form, ir.Pattern):
            return looks_at_place(form.name, step, steps, book)
        return _concerns(form, step, book)

    return looks


def _concerns(form: ir.Form, step: str, book: ir.Rulebook) -> bool:
    """Whether a rule of this form looks at a step, or at a condition that the step changes."""
    changed = {effect.condition for effect in book.steps[step].effects}
    for field in form.__struct_fields__:
        held = getattr(form, field)
        for each in held if isinstance(held, tuple) else (held,):
            if isinstance(each, ir.StepSet) and step in each.names:
                return True
            if isinstance(each, n.Node) and _looks_at(each, step, changed, book):
                return True
    return False


def _looks_at(node: n.Node, step: str, changed: set[str], book: ir.Rulebook) -> bool:
    for each in n.walk(node):
        if isinstance(each, n.Reading) and each.step == step:
            return True
        if isinstance(each, n.Condition):
            means = book.conditions[each.name].means
            if each.name in changed or means is not None and _looks_at(means, step, changed, book):
                return True
    return False


def _merged(found: list[tuple[Instance, Truth]], keeps: bool) -> list[tuple[Instance, Truth]]:
    """Instances that differ only in side, or that share one cause, become one.

    A step that comes too late is one cause, however many steps it should have come before: all of them are named.
    """
    kept: dict[tuple[object, ...], tuple[Instance, Truth]] = {}
    sides: dict[tuple[object, ...], set[str]] = {}
    for instance, told in found:
        key = _one_cause(instance, told)
        first, known = kept.setdefault(key, (instance, told))
        late = [cause for cause in told.causes if cause.kind == "swapped" and cause not in known.causes]
        # the ways of many doings are multiplied: those that are not meant would soon be too many to be told apart
        ways = together((_as_meant(known, keeps), _as_meant(told, keeps))) if told is not known else known.alternatives
        kept[key] = (first, Truth(known.level, (*known.causes, *late), ways))
        sides.setdefault(key, set()).add(instance.side)
    result = []
    for key, (instance, told) in kept.items():
        named = sides[key] - {""}
        side = "" if len(named) > 1 else instance.side
        result.append((_on(instance, side), told))
    return result


def _as_meant(told: Truth, keeps: bool) -> Truth:
    return told if keeps else told._replace(alternatives=meant(told.ways))


def _one_cause(instance: Instance, told: Truth) -> tuple[object, ...]:
    """What instances of one rule have in common that are told once."""
    cause = told.causes[0] if told.causes else Cause("value", "", "", instance.at)
    if cause.kind == "swapped":
        return told.level, cause.kind, cause.what, cause.by
    key = (told.level, cause._replace(side="", at=-1 if cause.kind in ("absent", "fact") else cause.at).key)
    if cause.kind in ("absent", "fact", "lost"):
        return key
    return (*key, instance.at if cause.kind == "value" else -1, instance.found, instance.needed)


def _on(instance: Instance, side: str) -> Instance:
    return instance if instance.side == side else msgspec.structs.replace(instance, side=side)


def _verdict(rule: ir.Rule, level: Level | None, findings: list[Finding]) -> RuleVerdict:
    if level is None:
        said: str = NOT_APPLICABLE
    elif level <= OPEN:
        said = CONFORMS
    else:
        own = {finding.verdict for finding in findings if finding.rule == rule.id}
        order = (NONCONFORMING, UNDETERMINED, UNDER_CONCESSION)
        said = next((each for each in order if each in own), UNDETERMINED if level == UNKNOWN else NONCONFORMING)
    return RuleVerdict(rule.id, rule.class_, said, rule.subject)


def _report(
    procedure: Procedure,
    book: ir.Rulebook,
    views: list[View],
    outcome: Outcome,
    findings: list[Finding],
    verdicts: list[RuleVerdict],
    gaps: list[str],
    unsaid: list[str],
    file: str,
    as_of: str,
) -> Report:
    view = views[0]
    counted: dict[str, int] = {said: sum(each.verdict == said for each in verdicts) for said in SAID}
    classes = {
        name: sum(each.verdict == NONCONFORMING and each.class_ == name for each in verdicts) for name in CLASSES
    }
    judged = [
        name for name in book.subjects if any(v.subject == name and v.verdict != NOT_APPLICABLE for v in verdicts)
    ]
    untouched = [book.subjects[name].says for name in cover.subjects_that_apply(view) if name not in outcome.subjects]
    uncovered = [*gaps, *(f"{says}: no rule applies" for says in untouched)]
    uncovered += [f"the job does not say: {name}" for name in unsaid]
    verdict = overall(counted, bool(gaps or unsaid))
    worst = next((name for name in CLASSES if classes[name]), "")
    cautions = [
        Notice(caution.signal, caution.says)
        for caution in book.warnings
        if caution.when is None or any(truth(caution.when, view, side).level != NO for side in view.sides)
    ]
    assumed = [f"{name} taken as {text}" for each in views for name, text in sorted(each.assumed.items())]
    counts = Counts(
        counted[CONFORMS], counted[NONCONFORMING], counted[UNDETERMINED], counted[NOT_APPLICABLE],
        counted[UNDER_CONCESSION], classes["critical"], classes["major"], classes["minor"],
        causes_in(findings),
    )  # fmt: skip
    measured: tuple[ToMeasure, ...] = ()
    if procedure.plan:
        applying = [rule for rule in book.rules if outcome.levels.get(rule.id) is not None]
        measured = to_measure(views, outcome.accepts, applying, outcome.broken)
    return Report(
        file=file,
        procedure="plan" if procedure.plan else "log",
        reference=procedure.reference,
        verdict=verdict,
        worst_class=worst,
        counts=counts,
        judged=tuple(judged),
        not_covered=tuple(uncovered),
        uncovered=bool(gaps or unsaid),
        findings=tuple(findings),
        rules=tuple(verdicts),
        to_measure=measured,
        warnings=tuple(cautions),
        assumptions=tuple(dict.fromkeys([*procedure.assumptions, *assumed])),
        digests=Digests(procedure.digest, book.digest, "", __version__),
        as_of=as_of,
        rulebook=f"{book.name}, edition {book.edition}",
        aloud=book.aloud,
        ends_with=book.ends_with,
        steps=sum(not each.implied for each in procedure.occurrences),
    )
