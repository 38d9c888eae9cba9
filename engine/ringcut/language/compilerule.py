"""One rule from its text to its typed form: exactly one form, its companions, values filled in, names resolved."""

from __future__ import annotations

import re
from fractions import Fraction

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.language.expressions import Scope, typed
from ringcut.language.ruletext import RuleText
from ringcut.language.sided import is_sided, rule_is_sided
from ringcut.language.sources import Sources
from ringcut.language.vocabulary import Words, read_duration
from ringcut.language.words import ValueText
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Problem
from ringcut.reading.suggest import canonical, near

FORMS = ("order", "need", "keep", "include", "exclude", "limit", "elapsed", "repeat", "record", "pattern")
COMPANIONS = {
    "order": (),
    "need": ("before", "within"),
    "keep": ("from_", "until", "while_", "within"),
    "include": ("count",),
    "exclude": ("after", "before"),
    "limit": ("of", "unclear"),
    "elapsed": (),
    "repeat": ("every", "while_"),
    "record": ("of",),
    "pattern": (),
}
"""The form of a rule and the keys that may stand beside it."""

PATTERNS = (
    "times-all-equal",
    "times-backwards",
    "times-against-list",
    "copied-readings",
    "sides-swapped",
    "not-applicable-claimed",
    "implausible-reading",
    "unit-mixed-up",
    "in-manhole-after-leaving",
    "measured-and-computed-disagree",
    "no-successor",
    "says-all-done",
)
"""The closed list of named looks."""


class RuleCompiler:
    """One rule being compiled."""

    def __init__(self, text: RuleText, subject: str, words: Words, sources: Sources, problems: list[Problem]) -> None:
        self.text, self.subject, self.words, self.sources, self.problems = (
            text,
            subject,
            words,
            sources,
            problems,
        )
        self.broken = False

    def rule(self) -> ir.Rule | None:
        text = self.text
        given = [form for form in FORMS if getattr(text, form)]
        if len(given) != 1:
            self._problem(
                text.rule,
                f"rule {text.rule.text} has {len(given)} forms",
                "exactly one of " + ", ".join(FORMS),
            )
            return None
        self.form = given[0]
        self._companions()
        self._values()
        before = len(self.problems)
        form = getattr(self, f"_{self.form}")()
        when = typed(text.when, self._scope(facts_only=True), self.problems) if text.when else None
        told = self._steps(text.told_at)
        if form is None or len(self.problems) > before:
            return None
        self._judge(form)
        return ir.Rule(
            id=text.rule.text,
            says=self._filled(text.says),
            class_=text.class_,
            subject=self.subject,
            form=form,
            when=when,
            judge_every=text.judge == "every",
            sided=rule_is_sided(form, self.words) or (when is not None and is_sided(when, self.words)),
            values={name: self._in_force(name, value) for name, value in text.values.items()},
            follows_from=text.follows_from,
            told_at=told.names if told else (),
            by_hand=text.by_hand,
            reason=self._filled(text.reason),
            remedy=self._filled(text.remedy),
            basis=text.basis,
            place=text.rule.place,
            text=self._words(),
            cases=text.cases,
            origin=self.sources.origins.get(text.rule.text, self.sources.layers[0] if self.sources.layers else ""),
        )

    def _problem(self, at: Phrase, found: str, expected: str = "", hint: str = "") -> None:
        self.problems.append(Problem(at.place, found, expected, hint))

    def _companions(self) -> None:
        allowed = COMPANIONS[self.form]
        for key in sorted({key for keys in COMPANIONS.values() for key in keys}):
            value = getattr(self.text, key)
            if value is not None and key not in allowed:
                self._problem(value, f"{key.rstrip('_')} does not go with {self.form}")

    def _values(self) -> None:
        for name, value in self.text.values.items():
            if name in self.words.taken:
                self._problem(value.value, f"value {name} is also {self.words.taken[name]}", "a name of its own")

    def _in_force(self, name: str, value: ValueText) -> ir.Value:
        rule, origins = self.text.rule.text, self.sources.origins
        # a change with a when leaves the old value in force for other jobs: the place tells them apart
        origin = origins.get(f"{rule}.{name} {value.value.place}") or origins.get(rule, self.sources.layers[0])
        return ir.Value(
            value.value.text,
            value.basis or self.text.basis,
            value.value.place,
            value.bound.text if value.bound else "",
            origin,
        )

    def _filled(self, words: str) -> str:
        values = {**{k: v.text for k, v in self.words.values.items()}}
        values |= {name: value.value.text for name, value in self.text.values.items()}

        def fill(match: re.Match[str]) -> str:
            if match[1] not in values:
                self._problem(self.text.rule, f"{{{match[1]}}} names no value of rule {self.text.rule.text}")
            return values.get(match[1], match[0])

        return re.sub(r"\{([a-z0-9-]+)\}", fill, words)

    def _scope(self, facts_only: bool = False, conditions: bool = False) -> Scope:
        values = {name: value.value.text for name, value in self.text.values.items()}
        places = {name: value.value.place for name, value in self.text.values.items()}
        return self.words.scope(values, places, facts_only=facts_only, conditions=conditions)

    def _words(self) -> dict[str, str]:
        keys = (self.form, *COMPANIONS[self.form])
        shown: dict[str, str] = {}
        for key in keys:
            value = getattr(self.text, key)
            if isinstance(value, Phrase):
                shown[key.rstrip("_")] = value.text
            elif isinstance(value, tuple) and value:
                shown[key] = ", ".join(str(each) for each in value)
        if self.text.elapsed:
            e = self.text.elapsed
            pairs = {"from": e.from_, "to": e.to, "at-least": e.at_least, "at-most": e.at_most}
            shown["elapsed"] = (
                ", ".join(f"{key}: {value}" for key, value in pairs.items() if value) + f", each: {e.each}"
            )
        if self.text.when:
            shown["when"] = self.text.when.text
        return shown

    def _judge(self, form: ir.Form) -> None:
        trigger = form.before if isinstance(form, ir.Need) else form.of if isinstance(form, ir.Limit) else None
        redone = trigger and any(self.words.steps[name].again == "redo" for name in trigger.names)
        if self.text.class_ == "critical" and redone and not self.text.judge:
            self._problem(
                self.text.rule,
                f"{self.text.rule.text} is critical and looks at a step that may be done again",
                "judge: every, or judge: latest",
            )

    # one method a form

    def _steps(self, phrase: Phrase | None, moments: tuple[str, ...] = ()) -> ir.StepSet | None:
        return self.words.step_set(phrase, self.problems, moments) if phrase else None

    def _condition(self, phrase: Phrase) -> n.Node | None:
        found = typed(phrase, self._scope(conditions=True), self.problems)
        read = next((node for node in n.walk(found) if isinstance(node, n.Reading)), None) if found else None
        if read is not None:
            hint = f"let {read.step} set a condition by its reading (sets), or write a limit"
            self._problem(phrase, f"the reading {read.step}.{read.name} in a rule about conditions", "conditions", hint)
        return found

    def _duration(self, phrase: Phrase | None) -> Fraction | None:
        if phrase is None:
            return None
        values = {name: value.value.text for name, value in self.text.values.items()}
        named = self.text.values.get(canonical(phrase.text))
        # what is wrong with a value is told where the value stands, which may be a layer above the rule
        return read_duration(named.value if named else phrase, values, self.problems)

    def _order(self) -> ir.Order | None:
        links = [self._steps(phrase) for phrase in self.text.order]
        if len(links) < 2:
            self._problem(self.text.order[0], "order has one link", "at least two")
        found = tuple(link for link in links if link)
        return ir.Order(found) if len(found) == len(links) else None

    def _need(self) -> ir.Need | None:
        assert self.text.need is not None
        what, before = self._condition(self.text.need), self._steps(self.text.before, (ir.END,))
        if self.text.before is None:
            self._problem(self.text.need, "need does not say before what", "before: steps, or before: end")
        return ir.Need(what, before, self._duration(self.text.within)) if what is not None and before else None

    def _keep(self) -> ir.Keep | None:
        assert self.text.keep is not None
        what = self._condition(self.text.keep)
        during = self._condition(self.text.while_) if self.text.while_ else None
        start = self._steps(self.text.from_, (ir.START,)) if self.text.from_ else ir.StepSet((), "start", ir.START)
        until = self._steps(self.text.until, (ir.END,))
        if what is None or start is None:
            return None
        until = None if until and until.moment == ir.END else until
        return ir.Keep(what, start, until, self._duration(self.text.within), during)

    def _include(self) -> ir.Include | None:
        what = self._steps(self.text.include)
        least, most = 1, None
        if self.text.count is not None:
            match = re.fullmatch(r"(\d+)(?:\.\.(\d+)?)?", self.text.count.text.replace(" ", ""))
            if match is None:
                self._problem(self.text.count, f"count: {self.text.count.text}", "2, 1..3 or 2..")
                return None
            least = int(match[1])
            most = int(match[2]) if match[2] else None if ".." in self.text.count.text else least
            self._countable(what, self.text.count)
        return ir.Include(what, least, most) if what else None

    def _countable(self, what: ir.StepSet | None, count: Phrase) -> None:
        """Of a step that is done again only the latest stands, so there is nothing to count."""
        redone = [name for name in (what.names if what else ()) if self.words.steps[name].again != "another"]
        if redone:
            self._problem(
                count, f"count over {redone[0]}, of which only the latest stands", "steps with again: another"
            )

    def _exclude(self) -> ir.Exclude | None:
        what, after, before = (self._steps(phrase) for phrase in (self.text.exclude, self.text.after, self.text.before))
        return ir.Exclude(what, after, before) if what else None

    def _limit(self) -> ir.Limit | None:
        assert self.text.limit is not None
        what = typed(self.text.limit, self._scope(), self.problems)
        unclear = typed(self.text.unclear, self._scope(), self.problems) if self.text.unclear else None
        if what is None:
            return None
        of = self._steps(self.text.of) if self.text.of else None
        if of is None:
            first = next((node.step for node in n.walk(what) if isinstance(node, n.Reading)), "")
            if not first and not self.text.of:
                of = ir.StepSet((), "start", ir.START)
            elif first:
                of = ir.StepSet((first,), first)
        return ir.Limit(what, of, unclear, use=self.text.of is not None) if of else None

    def _elapsed(self) -> ir.Elapsed | None:
        text = self.text.elapsed
        assert text is not None
        start, to = self._steps(text.from_, (ir.START,)), self._steps(text.to, (ir.END,))
        if text.at_least is None and text.at_most is None:
            self._problem(text.from_, "elapsed has no limit", "at-least or at-most")
            return None
        if start is None or to is None:
            return None
        during = self._condition(text.while_) if text.while_ else None
        least, most = self._duration(text.at_least), self._duration(text.at_most)
        return ir.Elapsed(start, to, least, most, text.each == "to", during)

    def _repeat(self) -> ir.Repeat | None:
        assert self.text.repeat is not None
        what, every = self._steps(self.text.repeat), self._duration(self.text.every)
        if self.text.every is None or self.text.while_ is None:
            self._problem(self.text.repeat, "repeat lacks every or while", "every: 60 min, while: a condition")
            return None
        during = self._condition(self.text.while_)
        return ir.Repeat(what, every, during) if what and every is not None and during is not None else None

    def _record(self) -> ir.Record | None:
        of = self._steps(self.text.of)
        if of is None:
            self._problem(self.text.record[0], "record does not say of which step", "of: a step")
            return None
        names = [canonical(phrase.text) for phrase in self.text.record]
        for phrase, name in zip(self.text.record, names, strict=True):
            for step in of.names:
                known = self.words.steps[step].readings
                if name not in known:
                    close = near(name, known)
                    hint = f"did you mean {close}?" if close else ""
                    self._problem(phrase, f"{step} has no reading {name}", ", ".join(known), hint)
        return ir.Record(tuple(names), of)

    def _pattern(self) -> ir.Pattern | None:
        assert self.text.pattern is not None
        name = canonical(self.text.pattern.text)
        if name not in PATTERNS:
            close = near(name, PATTERNS)
            self._problem(
                self.text.pattern,
                f"no look {name}",
                ", ".join(PATTERNS),
                f"did you mean {close}?" if close else "",
            )
            return None
        return ir.Pattern(name)
