"""From job facts to a plan that conforms: what to cut, what to take along, how long it takes, while what it holds.

Nothing is pretended: the plan that was written is read and judged again, and a plan that does not conform says so.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from fractions import Fraction

import msgspec

from ringcut import checking
from ringcut.draft import forbidden, longrepair, plantext, stock, told
from ringcut.draft.diameters import Estimate, assumed, estimated
from ringcut.draft.holds import Bound, holds_while
from ringcut.draft.jobfacts import one_for_both
from ringcut.draft.materials import Material, materials_of
from ringcut.draft.models import HERE, Job, Model, facts, job_view, serving
from ringcut.draft.planned import planned, replaced, with_readings
from ringcut.draft.sizing import Sized, sized
from ringcut.draft.timing import Times, times_of
from ringcut.fit.answers import Budget, Remaining
from ringcut.fit.binding import open_readings
from ringcut.fit.bindingdomains import words_of
from ringcut.fit.bindinglimits import Open
from ringcut.fit.bindingwords import Conflict
from ringcut.fit.leftopen import judged
from ringcut.fit.solve import DEFAULT
from ringcut.judge import cover
from ringcut.judge.findings import CONFORMS, NONCONFORMING, Report
from ringcut.language import ir
from ringcut.reading.measures import show
from ringcut.reading.problems import Problem, Unreadable
from ringcut.reading.raw import RawProcedure, RawStep
from ringcut.reading.suggest import canonical
from ringcut.relations.procedure import Procedure
from ringcut.relations.resolve import resolve
from ringcut.relations.spans import Value

FILE = "the drafted plan"
IN_ONE_PIECE = "sleeve-within-stock"
"""The rule that a long repair of several sleeves is there for."""
OVERLAP = Fraction("0.127")
"""5 in, the house overlap of the sleeves of a long repair."""


class Cut(msgspec.Struct, frozen=True, rename="kebab"):
    """A length, size or angle that the plan gives to the person who works: ``step`` by its label."""

    step: str
    reading: str
    side: str
    words: str
    note: str = ""


class Draft(msgspec.Struct, frozen=True, rename="kebab"):
    """What a draft gave. ``text`` is the plan; it is empty where there is none, and ``why`` says why."""

    text: str
    verdict: str
    """Of the plan as judged again; empty where there is no plan."""
    model: str = ""
    why: tuple[str, ...] = ()
    conflict: Conflict | None = None
    gave_up: str = ""
    advice: tuple[str, ...] = ()
    """Where there is no plan: what would make one."""
    cuts: tuple[Cut, ...] = ()
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
        return Draft("", "", why=(_no_model(chosen, models, view.whole),), not_known=tuple(not_known))
    return _Drafting(chosen[0], job, book, tuple(not_known), budget, as_of).draft()


def _no_model(chosen: list[Model], models: list[Model], procedure: Procedure) -> str:
    if chosen:
        return f"more than one model procedure serves this job: {', '.join(model.name for model in chosen)}"
    said = ", ".join(f"{name} {text}" for name, (text, _) in procedure.job_texts.items() if name in ("work", "sheath"))
    known = ", ".join(model.name for model in models)
    return f"no model procedure serves this job ({said or 'nothing is said of work and sheath'}); there are: {known}"


class _Drafting:
    """One plan being drafted."""

    def __init__(
        self, model: Model, job: Job, book: ir.Rulebook, not_known: tuple[str, ...], budget: Budget, as_of: str
    ) -> None:
        self.model, self.job, self.book = model, job, book
        self.not_known, self.budget, self.as_of = not_known, budget, as_of

    def draft(self) -> Draft:
        raw = planned(self.model, self.job, self.book, [])
        for plan in self._of_pieces(raw):
            procedure = resolve(plan, self.book, [])
            estimate = estimated(procedure, self.book)
            found = sized(procedure, self.book, assumed(procedure, estimate), self.budget)
            if found.conflict is None or IN_ONE_PIECE not in {member.rule for member in found.conflict.members}:
                break
        if found.conflict or found.gave_up:
            why = (found.conflict.words,) if found.conflict else (f"gave up: {found.gave_up}",)
            return Draft(
                "", "", self.model.name, why, found.conflict, found.gave_up, not_known=self.not_known,
                advice=self._advice(procedure, found.conflict, assumed(procedure, estimate)),
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

    def _of_pieces(self, raw: RawProcedure) -> Iterator[RawProcedure]:
        """The plan; where the repair is longer than one sleeve for two of them, then for more."""
        if not longrepair.is_long(raw):
            yield raw
            return
        for count in range(2, longrepair.MOST_PIECES + 1):
            yield longrepair.with_pieces(raw, count)

    def _advice(self, procedure: Procedure, conflict: Conflict | None, taken: Mapping[Open, Value]) -> tuple[str, ...]:
        if conflict is None:
            return ("A greater --budget searches longer.",)
        if IN_ONE_PIECE in {member.rule for member in conflict.members}:
            kept = tuple(rule for rule in self.book.rules if rule.id != IN_ONE_PIECE)
            without = sized(procedure, msgspec.structs.replace(self.book, rules=kept), taken, self.budget)
            need = next((v for w, v in without.values.items() if w.reading == "sleeve-length"), None)
            longest = max((row.length for row in stock.sleeves(self.book)), default=Fraction(0))
            if isinstance(need, Fraction) and longest > OVERLAP:
                count = longrepair.pieces_for(need, longest, OVERLAP)
                inches, word = show(need, "length", "in"), longrepair.SPECIAL
                return (
                    f"It takes {inches} of sleeve: a long repair of {count} overlapping sleeves.",
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
        assumptions = checking.check(text.encode(), FILE, self.book, self.as_of).assumptions
        footer = told.footer(holds, times, materials, assumptions)
        text += "".join(f"# {line}".rstrip() + "\n" for line in footer)
        report = judged(checking.read(text.encode(), FILE, self.book), self.book, FILE, self.as_of)
        return Draft(
            text=text,
            verdict=report.verdict,
            model=self.model.name,
            cuts=self._cuts(procedure),
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
        one, two = (show(each, "length", "in") for each in (estimate.smallest, estimate.largest))
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
        return (*found, *self._flames(procedure))

    def _flames(self, procedure: Procedure) -> list[Cut]:
        """How long the flame is used, where a rule limits it for the planned length."""
        steps = [e.index for e in procedure.occurrences if "open-flame" in self.book.steps[e.step].traits]
        opened = open_readings(procedure, self.book, measured=("duration",))
        wheres = [w for w in opened.domains if w.at in steps and w.reading == "duration"]
        answer = opened.left(self.budget) if wheres else None
        if not isinstance(answer, Remaining):
            return []
        return [
            Cut(
                procedure.occurrences[w.at].label, "duration", w.side,
                words_of(answer.values[w.name], opened.word(w), opened.domains[w]), "flame time over the whole length",
            )
            for w in wheres
        ]  # fmt: skip


def _without(raw: RawProcedure, names: set[str]) -> RawProcedure:
    def kept(step: RawStep, at: int) -> RawStep:
        readings = tuple(r for r in step.readings if canonical(r.name.text) not in names)
        return msgspec.structs.replace(step, readings=readings)

    return replaced(raw, kept)
