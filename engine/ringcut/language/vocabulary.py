"""The vocabulary compiled: words with kinds and ranges, steps with effects, derived conditions, quantities."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction

import msgspec

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.language.expressions import Scope, typed, typed_number
from ringcut.language.ruletext import TableText
from ringcut.language.words import Basis, QuantityText, StepText, VocabularyText, WordKind
from ringcut.reading.kinds import KINDS, WORDS
from ringcut.reading.measures import Refusal, read_measure
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import NOWHERE, Place, Problem
from ringcut.reading.suggest import canonical, near

MONTH = ir.Word("month", "choice", "the month of the job's date", tuple(str(month) for month in range(1, 13)))


class Words(msgspec.Struct):
    """Every word rules may use."""

    facts: dict[str, ir.Word]
    conditions: dict[str, ir.State]
    steps: dict[str, ir.Step]
    synonyms: dict[str, str]
    traits: dict[str, tuple[str, ...]]
    quantities: dict[str, QuantityText]
    values: dict[str, ir.Value]
    tables: dict[str, TableText]
    taken: dict[str, str]
    """Name: what it is, for the sets of names that may not overlap."""
    sides: tuple[str, ...] = ("A", "B")
    place: Place = NOWHERE
    problems: list[Problem] = []
    open: list[str] = []
    shared: dict[str, tuple[str, ...]] = {}
    """Synonyms of several steps, each of which says where it is meant."""

    def scope(
        self,
        values: Mapping[str, str] | None = None,
        places: Mapping[str, Place] | None = None,
        *,
        facts_only: bool = False,
        conditions: bool = False,
        own: ir.Step | None = None,
    ) -> Scope:
        """The names an expression of one kind may use."""
        known = {name: value.text for name, value in self.values.items()} | dict(values or {})
        where = {name: value.place for name, value in self.values.items()} | dict(places or {})
        if facts_only or own:
            return Scope(self.facts, tables=self.tables, values=known, own=own, value_places=where, used={})
        quantities = {name: self._quantity(name) for name in self.quantities}
        names = tuple(self.conditions) if conditions else ()
        return Scope(self.facts, self.steps, names, quantities, self.tables, known, None, where, {})

    def _quantity(self, name: str):  # type: ignore[no-untyped-def]
        return lambda: self.quantity(name)

    def quantity(self, name: str) -> tuple[n.Node, str]:
        """The formula of a quantity, typed; a formula that uses itself is a problem."""
        text = self.quantities[name]
        failed: tuple[n.Node, str] = (n.Const(Fraction(0), "count"), "count")
        if name in self.open:
            path = " -> ".join([*self.open, name])
            self.problems.append(Problem(text.place, f"quantity {name} uses itself", path))
            return failed
        self.open.append(name)
        try:
            if text.means is not None:
                return typed_number(text.means, self.scope(), self.problems) or failed
            items = [typed_number(phrase, self.scope(), self.problems) for phrase in text.first_of]
            found = [item for item in items if item]
            return (n.FirstOf(tuple(item[0] for item in found)), found[0][1]) if found else failed
        finally:
            self.open.pop()

    def step_set(self, phrase: Phrase, problems: list[Problem], moments: tuple[str, ...] = ()) -> ir.StepSet | None:
        """``x / y``, ``any trait``, ``start``, ``end``; a ``?`` behind makes the link optional."""
        text = phrase.text.strip()
        optional = text.endswith("?")
        names: list[str] = []
        for item in text.rstrip("?").split("/"):
            name = canonical(item.strip())
            trait = canonical(item.strip()[4:]) if item.strip().lower().startswith("any ") else ""
            if trait and trait in self.traits:
                names += self.traits[trait]
            elif name in self.steps:
                names.append(name)
            elif name in moments:
                return ir.StepSet((), text, name)
            else:
                problems.append(self._no_step(phrase, trait or name, bool(trait)))
                return None
        return ir.StepSet(tuple(dict.fromkeys(names)), text.rstrip("?"), "", optional)

    def _no_step(self, phrase: Phrase, name: str, trait: bool) -> Problem:
        what = "trait" if trait else "step"
        close = near(name, self.traits if trait else self.steps, {} if trait else self.synonyms)
        return Problem(phrase.place, f"no {what} {name}", hint=f"did you mean {close}?" if close else "")


def read_vocabulary(text: VocabularyText, tables: dict[str, TableText], problems: list[Problem]) -> Words:
    """Compile a vocabulary; problems are told, and what can be used is used so that later ones are told too."""
    facts = {name: _word(name, fact, problems) for name, fact in text.facts.items()} | {"month": MONTH}
    values = {
        name: ir.Value(
            v.value.text, v.basis or Basis(common_practice=True), v.value.place, v.bound.text if v.bound else ""
        )
        for name, v in text.values.items()
    }
    words = Words(facts, {}, {}, {}, {}, dict(text.quantities), values, tables, {}, text.sides or ("A", "B"))
    words.problems, words.open = problems, []
    _read_facts(text, words, problems)
    for name, state in text.conditions.items():
        words.conditions[name] = ir.State(name, state.says, n.Fixed(False), state.per, called=state.called)
    _read_steps(text, words, problems)
    _read_conditions(text, words, problems)
    for name in text.quantities:
        words.quantity(name)
    _check_names(text, words, problems)
    return words


def _read_facts(text: VocabularyText, words: Words, problems: list[Problem]) -> None:
    for name, fact in text.facts.items():
        if fact.means is not None:
            node = typed(fact.means, words.scope(facts_only=True), problems)
            words.facts[name] = msgspec.structs.replace(words.facts[name], means=node, kind="yes-no")


def _read_steps(text: VocabularyText, words: Words, problems: list[Problem]) -> None:
    traits: dict[str, list[str]] = {}
    for name, step in text.steps.items():
        readings = {each: _word(each, reading, problems) for each, reading in step.readings.items()}
        words.steps[name] = ir.Step(
            name,
            step.says,
            step.per == "side",
            step.again,
            step.scope == "site",
            read_duration(step.takes, {}, problems) if step.takes else None,
            step.traits,
            (),
            readings,
            canonical(step.lasting) if step.lasting else "",
            step.subject,
            step.place,
        )
        for trait in step.traits:
            traits.setdefault(trait, []).append(name)
        for also in (name, *step.also):
            other = words.synonyms.setdefault(canonical(also), name)
            if other == name:
                continue
            if step.meant_where and text.steps[other].meant_where and canonical(also) not in text.steps:
                words.shared[canonical(also)] = (*words.shared.get(canonical(also), (other,)), name)
                continue
            hint = "or meant-where in each of them, so that the job decides"
            problems.append(Problem(step.place, f"«{also}» means {name} and {other}", "one step a synonym", hint))
    words.traits = {trait: tuple(names) for trait, names in traits.items()}
    for name, step in text.steps.items():
        effects = _effects(step, words, words.steps[name], problems)
        where = typed(step.meant_where, words.scope(facts_only=True), problems) if step.meant_where else None
        covered = words.step_set(step.protects, problems) if step.protects else None
        words.steps[name] = msgspec.structs.replace(
            words.steps[name], effects=effects, meant_where=where, protects=covered.names if covered else ()
        )


def _effects(text: StepText, words: Words, step: ir.Step, problems: list[Problem]) -> tuple[ir.Effect, ...]:
    effects: list[ir.Effect] = []
    named = [(name, n.Fixed(True)) for name in text.makes] + [(name, n.Fixed(False)) for name in text.ends]
    for name, to in named:
        if _known_condition(name, words, text.place, problems):
            effects.append(ir.Effect(name, to))
    scope = words.scope(own=step)
    for name, guard in text.sets.items():
        where = typed(guard.where, scope, problems) if guard.where else None
        node = typed(guard.to, scope, problems)
        if node is not None and _known_condition(name, words, guard.to.place, problems):
            effects.append(ir.Effect(name, node, where, guard.unread == "keeps"))
    return tuple(effects)


def _known_condition(name: str, words: Words, place: Place, problems: list[Problem]) -> bool:
    if name in words.conditions:
        return True
    close = near(name, words.conditions)
    hint = f"did you mean {close}?" if close else f"write it under conditions: {{{name}: {{says: what is true then}}}}"
    problems.append(Problem(place, f"no condition {name}", hint=hint))
    return False


def _read_conditions(text: VocabularyText, words: Words, problems: list[Problem]) -> None:
    values = {name: value.text for name, value in words.values.items()}
    for name, state in text.conditions.items():
        at_start = _at_start(state.at_start, words, problems) if state.at_start else n.Fixed(False)
        means = typed(state.means, words.scope(conditions=True), problems) if state.means else None
        words.conditions[name] = msgspec.structs.replace(
            words.conditions[name],
            at_start=at_start if at_start is not None else n.Fixed(False),
            lapses=read_duration(state.lapses, values, problems) if state.lapses else None,
            means=means,
        )
    for name, state in text.conditions.items():
        _no_loop(name, words, (), state.place, problems)
        touched = [step for step in words.steps.values() for effect in step.effects if effect.condition == name]
        if state.means is not None and touched:
            problems.append(
                Problem(state.place, f"{name} is derived, and {touched[0].name} sets it", "one or the other")
            )


def _no_loop(name: str, words: Words, path: tuple[str, ...], place: Place, problems: list[Problem]) -> None:
    if name in path:
        problems.append(Problem(place, f"condition {name} is derived from itself", " -> ".join((*path, name))))
        words.conditions[name] = msgspec.structs.replace(words.conditions[name], means=None)
        return
    means = words.conditions[name].means
    for node in n.walk(means) if means is not None else []:
        if isinstance(node, n.Condition):
            _no_loop(node.name, words, (*path, name), place, problems)


def _check_names(text: VocabularyText, words: Words, problems: list[Problem]) -> None:
    sets = (
        ("a fact", text.facts),
        ("a condition", text.conditions),
        ("a quantity", text.quantities),
        ("a value", text.values),
    )
    for what, names in sets:
        for name, word in names.items():
            if name in words.taken:
                problems.append(
                    Problem(word.place, f"{name} is {what} and {words.taken[name]}", "one name, one meaning")
                )
            words.taken.setdefault(name, what)


def _word(name: str, text: WordKind, problems: list[Problem]) -> ir.Word:
    kinds = [text.kind] if text.kind else []
    kinds += ["choice"] if text.choices and text.kind in ("", "choice") and not kinds else []
    kinds += ["list"] if text.list and not kinds else []
    means = getattr(text, "means", None)
    kind = kinds[0] if kinds else "yes-no" if means is not None else ""
    if kind not in KINDS and kind not in WORDS:
        close = near(kind, [*KINDS, *WORDS]) if kind else None
        hint = f"did you mean {close}?" if close else ""
        problems.append(
            Problem(
                text.place,
                f"{name}: no kind {kind}" if kind else f"{name} has no kind",
                "" if hint else f"choices: or list: with the words, or kind: with one of {', '.join([*KINDS, *WORDS])}",
                hint,
            )
        )
        kind = "text"
    return ir.Word(
        name,
        kind,
        text.says,
        text.choices or text.list,
        {canonical(word): choice for word, choice in text.reads_as.items()},
        text.per == "side",
        text.unit,
        getattr(text, "known", "planned") == "planned",
        _measure(text.resolution, _difference(kind), problems) if text.resolution else None,
        _range(text.possible, kind, problems),
        _range(text.plausible, kind, problems),
        text.otherwise.text if text.otherwise else "",
        None,
        getattr(text, "qualifier", ""),
        text.place,
        text.also,
    )


def _difference(kind: str) -> str:
    return {
        "temperature": "temperature-difference",
        "gauge-pressure": "pressure-difference",
        "absolute-pressure": "pressure-difference",
        "angle": "turn",
    }.get(kind, kind)


def _at_start(phrase: Phrase, words: Words, problems: list[Problem]) -> n.Node | None:
    said = canonical(phrase.text)
    if said in ("yes", "true", "no", "false"):
        hint = "write always" if said in ("yes", "true") else "leave it out: nothing holds until a step makes it"
        problems.append(Problem(phrase.place, f"at-start: {phrase}", "job facts for which it holds, or always", hint))
        return None
    return typed(phrase, words.scope(facts_only=True), problems)


def _range(phrases: tuple[Phrase, ...], kind: str, problems: list[Problem]) -> tuple[Fraction, Fraction] | None:
    if not phrases:
        return None
    if len(phrases) != 2:
        least_most = re.split(r"\s+(?:to|-|–|\.\.+)\s+", phrases[0].text) if len(phrases) == 1 else []
        hint = f"write [{', '.join(least_most)}]" if len(least_most) == 2 else ""
        problems.append(Problem(phrases[0].place, f"a range of {len(phrases)}", "[least, most]", hint))
        return None
    least, most = (_measure(phrase, kind, problems) for phrase in phrases)
    if least is None or most is None:
        return None
    if least > most:
        problems.append(Problem(phrases[0].place, f"the least, {phrases[0]}, is over the most, {phrases[1]}"))
    return least, most


def _measure(phrase: Phrase, kind: str, problems: list[Problem]) -> Fraction | None:
    found = read_measure(phrase.text, kind)
    if isinstance(found, Refusal):
        problems.append(Problem(phrase.place, found.found, found.expected, found.hint))
        return None
    return found.low


def read_duration(phrase: Phrase, values: Mapping[str, str], problems: list[Problem]) -> Fraction | None:
    """A time, written out or by the name of a value, in seconds."""
    text = values.get(canonical(phrase.text), phrase.text)
    found = read_measure(text, "time")
    if isinstance(found, Refusal):
        close = near(canonical(phrase.text), values) if values else None
        hint = f"did you mean {close}?" if close else found.hint
        named = re.fullmatch(r"[A-Za-z][\w -]*", text)
        told = (
            (f"no value {text}", f"{found.expected}, or a name under values:")
            if named
            else (found.found, found.expected)
        )
        problems.append(Problem(phrase.place, *told, hint))
        return None
    return found.low
