"""From job facts to a plan that conforms: what to cut, what to take along, how long it takes, while what it holds.

Nothing is pretended: the plan that was written is read and judged again, and a plan that does not conform says so.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

import msgspec

from ringcut import checking
from ringcut.draft import forbidden, longrepair, plantext, stock, told
from ringcut.draft.diameters import Estimate, assumed, estimated
from ringcut.draft.holds import Bound, holds_while
from ringcut.draft.jobfacts import one_for_both
from ringcut.draft.longrepair import pieces_of
from ringcut.draft.materials import Material, materials_of
from ringcut.draft.metric import in_millimetres, is_metric, length_unit
from ringcut.draft.models import HERE, Job, Model, facts, job_view, serving
from ringcut.draft.planned import on_metric_grid, planned, replaced, with_readings
from ringcut.draft.questions import hangs_on
from ringcut.draft.sizing import Sized, sized
from ringcut.draft.timing import Times, times_of
from ringcut.fit.answers import Budget, Remaining
from ringcut.fit.binding import open_readings
from ringcut.fit.bindingdomains import words_of
from ringcut.fit.bindingwords import Conflict
from ringcut.fit.leftopen import judged
from ringcut.fit.solve import DEFAULT
from ringcut.judge import cover
from ringcut.judge.findings import CONFORMS, NONCONFORMING, Report
from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.reading.measures import show
from ringcut.reading.problems import Problem, Unreadable
from ringcut.reading.raw import RawProcedure, RawStep
from ringcut.reading.suggest import canonical
from ringcut.relations.procedure import Procedure
from ringcut.relations.resolve import resolve

FILE = "the drafted plan"


class Cut(msgspec.Struct, frozen=True, rename="kebab"):
    """A length, size or angle that the plan gives to the person who works: ``step`` by its label."""

    step: str
    reading: str
    side: str
    words: str


class Draft(msgspec.Struct, frozen=True, rename="kebab"):
    """What a draft gave. ``text`` is the plan; it is empty where there is none, and ``why`` says why."""

    text: str
    verdict: str
    """Of the plan as judged again; empty where there is no plan."""
    model: str = ""
    why: tuple[str, ...] = ()
    conflict: Conflict | None = None
    gave_up: str = ""
    besides: tuple[Conflict, ...] = ()
    """Other conflicts, which stand in the way even without a member of ``conflict``."""
    advice: tuple[str, ...] = ()
    """Where there is no plan: what would make one."""
    cuts: tuple[Cut, ...] = ()
    flames: tuple[tuple[str, str], ...] = ()
    """Steps with a flame by their labels, and how long it is used over the whole length, where a rule limits that."""
    materials: tuple[Material, ...] = ()
    holds: tuple[Bound, ...] = ()
    times: Times | None = None
    estimates: tuple[str, ...] = ()
    left_open: tuple[str, ...] = ()
    not_known: tuple[str, ...] = ()
    stock: str = ""
    report: Report | None = None

    @property
    def conforms(self) -> bool:
        """Whether the plan conforms."""
        return self.verdict == CONFORMS


def draft(
    job: Job,
    book: ir.Rulebook,
    models: list[Model],
    not_known: Iterable[str] = (),
    budget: Budget = DEFAULT,
    as_of: str = "",
) -> Draft:
    """Draft a plan for a job; :class:`Unreadable` where its facts are not as facts are written."""
    problems: list[Problem] = []
    view = job_view(facts(job, HERE), book, problems, HERE)
    problems += [] if problems else cover.impossible(view.whole, book)
    if problems:
        raise Unreadable(problems)
    chosen = serving(models, view)
    problems += one_for_both(job, chosen[0]) if len(chosen) == 1 else []
    if problems:
        raise Unreadable(problems)
    if len(chosen) != 1:
        why = _no_model(chosen, models, view.whole)
        if missing := hangs_on(view, models):
            advice = f"Find out first: {', '.join(name for name in book.facts if name in missing)}."
        else:
            advice = "Stop and call: such a job takes a procedure of the house."
        return Draft("", "", why=(why,), advice=(advice,), not_known=tuple(not_known))
    asked = (chosen[0], job, tuple(not_known), budget, as_of)
    made = _drafted(book, *asked)
    if made.conflict is None or not made.conflict.minimal:
        return made
    others = [_drafted(less, *asked).conflict for less in _each_without(book, made.conflict)]
    besides = {other.words: other for other in others if other is not None}
    return msgspec.structs.replace(made, besides=tuple(besides.values()))


def _drafted(
    book: ir.Rulebook, model: Model, job: Job, not_known: tuple[str, ...], budget: Budget, as_of: str
) -> Draft:
    """A plan in the unit of the job; where no metric lengths fit, in inches."""
    made = _Drafting(model, job, book, not_known, budget, as_of, is_metric(job)).draft()
    if made.conflict is None or not is_metric(job):
        return made
    inches = _Drafting(model, job, book, not_known, budget, as_of, False).draft()
    return inches if inches.text else made


def _each_without(book: ir.Rulebook, conflict: Conflict) -> Iterator[ir.Rulebook]:
    """The rulebook without one member of a conflict, for each of them."""
    for member in conflict.members:
        rules = tuple(rule for rule in book.rules if rule.id not in (member.rule, *member.along))
        yield msgspec.structs.replace(book, rules=rules)


def _no_model(chosen: list[Model], models: list[Model], procedure: Procedure) -> str:
    if chosen:
        return f"more than one model procedure serves this job: {', '.join(model.name for model in chosen)}"
    said = ", ".join(each for name in ("work", "sheath") for each in _said(procedure, name))
    known = ", ".join(model.name for model in models)
    return f"no model procedure serves this job ({said or 'nothing is said of work and sheath'}); there are: {known}"


def _said(procedure: Procedure, fact: str) -> Iterator[str]:
    if fact in procedure.job_texts:
        yield f"{fact} {procedure.job_texts[fact][0]}"
        return
    sides = {side: value for (name, side), value in procedure.job.items() if name == fact and side}
    if sides:
        yield f"{fact} " + ", ".join(f"{side} {' or '.join(getattr(v, 'options', ()))}" for side, v in sides.items())


def _listed(job: Job, fact: str) -> list[str]:
    given = job.get(fact, [])
    return [given] if isinstance(given, str) else [*given]


class _Drafting:
    """One plan being drafted."""

    def __init__(
        self,
        model: Model,
        job: Job,
        book: ir.Rulebook,
        not_known: tuple[str, ...],
        budget: Budget,
        as_of: str,
        metric: bool,
    ) -> None:
        self.model, self.job, self.own = model, job, book
        self.book = in_millimetres(book) if metric else book
        self.not_known, self.budget, self.as_of = not_known, budget, as_of

    def draft(self) -> Draft:
        plan, procedure, estimate, found = self._fitted(self.job)
        if found.conflict or found.gave_up:
            why = (found.conflict.words,) if found.conflict else (f"gave up: {found.gave_up}",)
            return Draft(
                "", "", self.model.name, why, found.conflict, found.gave_up, not_known=self.not_known,
                advice=self._advice(found.conflict),
                estimates=self._estimates(estimate), stock=self._stock(),
            )  # fmt: skip
        filled = self._filled(plan, procedure, found)
        made = self._judged(filled, estimate, found)
        assert made.report is not None
        rules = forbidden.forbidding(made.report, self.book) if made.report.verdict == NONCONFORMING else ()
        return self._without_forbidden(made, filled, rules, estimate, found) if rules else made

    def _without_forbidden(
        self, made: Draft, raw: RawProcedure, rules: tuple[ir.Rule, ...], estimate: Estimate | None, found: Sized
    ) -> Draft:
        """The plan without the steps that the job does not allow, or no plan and the conflict."""
        rest = forbidden.without_forbidden(raw, rules, self.book)
        again = self._judged(rest, estimate, replace(found, texts={}))
        assert made.report is not None
        assert again.report is not None
        if again.report.verdict != NONCONFORMING:
            return again
        conflict = forbidden.conflict_between(rules, made.report, again.report, self.book)
        return Draft(
            "", "", self.model.name, (conflict.words,), conflict, not_known=self.not_known,
            advice=tuple(rule.remedy for rule in rules), estimates=made.estimates, stock=made.stock,
        )  # fmt: skip

    def _fitted(self, job: Job) -> tuple[RawProcedure, Procedure, Estimate | None, Sized]:
        """The plan with its lengths and sizes; where the repair is longer than one sleeve of two pieces, or of more."""
        for plan in self._of_pieces(on_metric_grid(planned(self.model, job, self.book, []), self.book)):
            procedure = resolve(plan, self.book, [])
            estimate = estimated(procedure, self.book)
            found = sized(procedure, self.book, assumed(procedure, estimate), self.budget)
            if found.conflict is None or not self._is_about_length(found.conflict):
                break
        return plan, procedure, estimate, found

    def _of_pieces(self, raw: RawProcedure) -> Iterator[RawProcedure]:
        if not longrepair.is_long(raw):
            yield raw
            return
        for count in range(2, longrepair.most_pieces(self.book) + 1):
            yield longrepair.with_pieces(raw, count)

    def _is_about_length(self, conflict: Conflict) -> bool:
        """Whether a rule of a conflict speaks of how long the sleeve is."""
        rules = {member.rule for member in conflict.members}
        return any(
            isinstance(node, n.Reading) and node.name == "sleeve-length"
            for rule in self.book.rules
            if rule.id in rules and isinstance(rule.form, ir.Limit)
            for node in n.walk(rule.form.what)
        )

    def _advice(self, conflict: Conflict | None) -> tuple[str, ...]:
        if conflict is None:
            return ("A greater --budget searches longer.",)
        word = longrepair.SPECIAL
        if self._is_about_length(conflict) and word not in self.job.get("special", ()):
            job = {**self.job, **{name: [*_listed(self.job, name), word] for name in ("special", "special-procedure")}}
            _, procedure, _, found = self._fitted(job)
            if found.texts and pieces_of(procedure) > 1:
                return (
                    f"It takes more than one sleeve: a long repair of {pieces_of(procedure)} overlapping sleeves.",
                    f"Say so in the job, special: [{word}], and special-procedure: [{word}] once the house procedure "
                    "for it is at hand; until then stop and call.",
                )
        return ("Stop and call: it needs another size in stock, or a house procedure.",)

    def _filled(self, raw: RawProcedure, procedure: Procedure, found: Sized) -> RawProcedure:
        chosen = {name for _, name in found.texts}
        texts: dict[tuple[int, str], Mapping[str, str]] = {
            key: sides for key, sides in found.texts.items() if key not in found.kept
        }
        cut = next((sides[""] for (_, name), sides in found.texts.items() if name == "sleeve-length"), None)
        for each in procedure.occurrences:
            if each.step == "trim-channel" and cut and (each.index, "channel-length") not in texts:
                texts[each.index, "channel-length"] = {"": cut}
        filled = with_readings(raw, texts)
        unknown = {"size", "sleeve-length"} - chosen
        unknown |= {"channel-length"} if "sleeve-length" in unknown else set()
        return _without(filled, unknown)

    def _judged(self, raw: RawProcedure, estimate: Estimate | None, found: Sized) -> Draft:
        text = self._text(raw, estimate, found)
        procedure = checking.read(text.encode(), FILE, self.book)
        taken = assumed(procedure, estimate)
        materials = materials_of(procedure, self.book, estimate)
        holds, times = holds_while(procedure, self.book, taken), times_of(procedure, self.book)
        assumptions = checking.check(text.encode(), FILE, self.own, self.as_of).assumptions
        flames = self._flames(procedure)
        footer = told.footer(holds, times, materials, flames, assumptions)
        text += "".join(f"# {line}".rstrip() + "\n" for line in footer)
        report = judged(checking.read(text.encode(), FILE, self.own), self.own, FILE, self.as_of)
        return Draft(
            text=text,
            verdict=report.verdict,
            model=self.model.name,
            cuts=self._cuts(procedure),
            flames=flames,
            materials=materials,
            holds=holds,
            times=times,
            estimates=self._estimates(estimate),
            left_open=tuple(f"{'; '.join(waits)}: {rule} waits for it" for rule, waits in found.blocked.items()),
            not_known=self.not_known,
            stock=self._stock(),
            report=report,
        )

    def _text(self, raw: RawProcedure, estimate: Estimate | None, found: Sized) -> str:
        header = [
            f"Drafted from the model procedure {self.model.name} of {self.book.name}, edition {self.book.edition}."
        ]
        header += self._estimates(estimate)
        header += [self._stock()] if self._stock() else []
        header += (
            [f"Not known: {', '.join(self.not_known)}; the plan keeps place for every case."] if self.not_known else []
        )
        comments = {}
        if estimate is not None:
            comments = {at: "by estimate; measure, then compare" for at, name in found.texts if name == "size"}
        return plantext.plan_text(raw, header, self.model.headings, comments, {})

    def _estimates(self, estimate: Estimate | None) -> tuple[str, ...]:
        if estimate is None:
            return ()
        one, two = (show(each, "length", length_unit(self.book)) for each in (estimate.smallest, estimate.largest))
        return (f"Estimated before the work: smallest diameter {one}, largest {two} ({', '.join(estimate.because)}).",)

    def _stock(self) -> str:
        table = self.book.tables.get(stock.TABLE)
        if table is None:
            return ""
        if table.invented:
            return "Sizes are from the stock list of the rulebook, which is invented. Give your own with --stock."
        return f"Sizes are from {table.basis.house if table.basis else 'the stock list in force'}."

    def _cuts(self, procedure: Procedure) -> tuple[Cut, ...]:
        found = []
        for each in procedure.occurrences:
            for (name, side), (text, _) in each.texts.items():
                if self.book.steps[each.step].readings[name].kind in ("length", "angle") or name == "size":
                    found.append(Cut(each.label, name, side, text))
        return tuple(found)

    def _flames(self, procedure: Procedure) -> tuple[tuple[str, str], ...]:
        steps = [e.index for e in procedure.occurrences if "open-flame" in self.book.steps[e.step].traits]
        opened = open_readings(procedure, self.book, measured=("duration",))
        wheres = [w for w in opened.domains if w.at in steps and w.reading == "duration"]
        answer = opened.left(self.budget) if wheres else None
        if not isinstance(answer, Remaining):
            return ()
        return tuple(
            (
                f"{procedure.occurrences[w.at].label}{f' (side {w.side})' if w.side else ''}",
                words_of(answer.values[w.name], opened.word(w), opened.domains[w]),
            )
            for w in wheres
        )


def _without(raw: RawProcedure, names: set[str]) -> RawProcedure:
    def kept(step: RawStep, at: int) -> RawStep:
        readings = tuple(r for r in step.readings if canonical(r.name.text) not in names)
        return msgspec.structs.replace(step, readings=readings)

    return replaced(raw, kept)
