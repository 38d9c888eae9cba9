"""Whether a change tightens or loosens a rule: by sign, by form, by truth table, by the polarity of conditions.

The answer is per rule and about verdicts: a rule is loosened where something it refused may now conform. What none of
the tests decides is «cannot tell», which counts as loosening.
"""

from __future__ import annotations

from fractions import Fraction

import msgspec

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.language.bounds import any_beyond, binds, value_beyond
from ringcut.language.polarity import Touched, by_conditions, vocabulary_effects
from ringcut.language.sense import Sense, combined
from ringcut.language.signs import direction
from ringcut.language.truthtables import implies

LOOSENING = (Sense.LOOSENS, Sense.BOTH, Sense.CANNOT_TELL)


class Effect(msgspec.Struct, frozen=True):
    """What became of one rule. ``source``: the (kind, name) of the word or rule that did it."""

    rule: str
    class_: str
    sense: Sense
    words: str
    sources: tuple[tuple[str, str], ...] = ()
    beyond_bound: bool = False

    @property
    def loosens(self) -> bool:
        """Whether it needs a reason and an approver."""
        return self.sense in LOOSENING

    def touched_by(self, kind: str, name: str) -> bool:
        """Whether a change of this kind and name did it."""
        return (kind, name) in self.sources


def compare_rulebooks(old: ir.Rulebook, new: ir.Rulebook) -> list[Effect]:
    """The effect on every rule that is new, gone or changed, in the order of the new rulebook."""
    before, after = _by_id(old), _by_id(new)
    touched = vocabulary_effects(old, new)
    found: list[Effect] = []
    for name, rules in after.items():
        if name not in before:
            found.append(Effect(name, rules[0].class_, Sense.TIGHTENS, "a new rule", (("rule", name),)))
            continue
        effect = _changed(before[name], rules, old, new, touched)
        if effect is not None:
            found.append(effect)
    for name, rules in before.items():
        if name not in after:
            bound = any(value.bound for value in rules[0].values.values())
            law = binds(rules[0].basis.regulation, new)
            found.append(Effect(name, rules[0].class_, Sense.LOOSENS, "withdrawn", (("rule", name),), law and bound))
    return found


def _by_id(book: ir.Rulebook) -> dict[str, list[ir.Rule]]:
    found: dict[str, list[ir.Rule]] = {}
    for rule in book.rules:
        found.setdefault(rule.id, []).append(rule)
    return found


def _changed(
    old: list[ir.Rule],
    new: list[ir.Rule],
    against_book: ir.Rulebook,
    book: ir.Rulebook,
    touched: Touched,
) -> Effect | None:
    senses: list[Sense] = []
    words: list[str] = []
    beyond = False
    for rule in new:
        against = old[min(new.index(rule), len(old) - 1)] if len(old) > 1 else old[0]
        sense, said = _rule_sense(against, rule, book, compare_when=len(new) == 1)
        senses.append(sense)
        words += said
        beyond = beyond or sense in LOOSENING and any_beyond(rule, against, book, sense)
    sources: list[tuple[str, str]] = [("rule", new[0].id)]
    for sense, told, source in by_conditions(new[0], touched, book):
        senses.append(sense)
        words.append(told)
        sources.append(source)
        beyond = (
            beyond or sense in LOOSENING and value_beyond(source[1], against_book, book, sense) and source[0] == "value"
        )
    total = combined(senses)
    if total == Sense.EQUAL:
        return None
    if len(new) == 1 and len(old) == 1 and not words:
        words = ["changed"]
    return Effect(new[0].id, old[0].class_, total, ", ".join(dict.fromkeys(words)), tuple(sources), beyond)


def _rule_sense(old: ir.Rule, new: ir.Rule, book: ir.Rulebook, compare_when: bool) -> tuple[Sense, list[str]]:
    senses: list[Sense] = []
    words: list[str] = []
    for name, value in new.values.items():
        before = old.values.get(name)
        if before is not None and before.text != value.text:
            words.append(f"{name} {before.text} to {value.text}")
    order = ("critical", "major", "minor")
    if old.class_ != new.class_:
        up = order.index(new.class_) < order.index(old.class_)
        senses.append(Sense.TIGHTENS if up else Sense.LOOSENS)
        words.append(f"{old.class_} to {new.class_}")
    if old.judge_every != new.judge_every:
        senses.append(Sense.TIGHTENS if new.judge_every else Sense.LOOSENS)
        words.append("judges every doing" if new.judge_every else "judges the latest doing only")
    if compare_when and old.when != new.when:
        sense = _when_sense(old.when, new.when, book)
        senses.append(sense)
        words.append("applies to other jobs")
    senses.append(form_sense(old.form, new.form, book))
    return combined(senses), words


def _when_sense(old: n.Node | None, new: n.Node | None, book: ir.Rulebook) -> Sense:
    one, two = old or n.ALWAYS, new or n.ALWAYS
    narrower, wider = implies(two, one, book), implies(one, two, book)
    if narrower is None or wider is None:
        return Sense.CANNOT_TELL
    if narrower and wider:
        return Sense.EQUAL
    return Sense.LOOSENS if narrower else Sense.TIGHTENS if wider else Sense.BOTH


def form_sense(old: ir.Form, new: ir.Form, book: ir.Rulebook) -> Sense:
    """The sense of a change inside a form; another form is «cannot tell»."""
    if old == new:
        return Sense.EQUAL
    match old, new:
        case ir.Limit(), ir.Limit():
            if old.of != new.of or old.use != new.use:
                return Sense.CANNOT_TELL
            senses = [direction(old.what, new.what)]
            if old.unclear != new.unclear:
                senses.append(Sense.LOOSENS if old.unclear is None else Sense.CANNOT_TELL)
            return combined(senses)
        case ir.Elapsed(), ir.Elapsed():
            if (old.start, old.to, old.each_to) != (new.start, new.to, new.each_to):
                return Sense.CANNOT_TELL
            return combined([_upper(old.at_most, new.at_most), _lower(old.at_least, new.at_least)])
        case ir.Repeat(), ir.Repeat():
            same = (old.what, old.during) == (new.what, new.during)
            return _upper(old.every, new.every) if same else Sense.CANNOT_TELL
        case ir.Include(), ir.Include():
            if old.what != new.what:
                return Sense.CANNOT_TELL
            return combined(
                [
                    _lower(Fraction(old.least), Fraction(new.least)),
                    _upper(_fraction(old.most), _fraction(new.most)),
                ]
            )
        case ir.Need(), ir.Need():
            if old.what != new.what:
                return combined([_implied(old.what, new.what, book), _names(new.before, old.before)])
            return combined([_grace(old.within, new.within), _names(new.before, old.before)])
        case ir.Keep(), ir.Keep():
            if (old.start, old.until) != (new.start, new.until):
                return Sense.CANNOT_TELL
            return combined([_grace(old.within, new.within), _implied(old.implied, new.implied, book)])
        case ir.Record(), ir.Record():
            if old.of != new.of:
                return Sense.CANNOT_TELL
            one, two = set(old.readings), set(new.readings)
            return Sense.TIGHTENS if one < two else Sense.LOOSENS if two < one else Sense.BOTH
    return Sense.CANNOT_TELL


def _fraction(number: int | None) -> Fraction | None:
    return None if number is None else Fraction(number)


def _upper(old: Fraction | None, new: Fraction | None) -> Sense:
    """A most-value: up loosens, gone loosens."""
    if old == new:
        return Sense.EQUAL
    if new is None or old is not None and new > old:
        return Sense.LOOSENS
    return Sense.TIGHTENS


def _lower(old: Fraction | None, new: Fraction | None) -> Sense:
    """A least-value: up tightens, gone loosens."""
    if old == new:
        return Sense.EQUAL
    if new is None or old is not None and new < old:
        return Sense.LOOSENS
    return Sense.TIGHTENS


def _grace(old: Fraction | None, new: Fraction | None) -> Sense:
    """A grace: more loosens, none tightens."""
    return _upper(old or Fraction(0), new or Fraction(0))


def _names(new: ir.StepSet, old: ir.StepSet) -> Sense:
    """More triggers tighten."""
    one, two = set(old.names), set(new.names)
    if one == two and old.moment == new.moment:
        return Sense.EQUAL
    return Sense.TIGHTENS if one < two else Sense.LOOSENS if two < one else Sense.BOTH


def _implied(old: n.Node, new: n.Node, book: ir.Rulebook) -> Sense:
    """What is demanded: a stronger demand tightens."""
    stronger, weaker = implies(new, old, book), implies(old, new, book)
    if stronger is None or weaker is None:
        return Sense.CANNOT_TELL
    if stronger and weaker:
        return Sense.EQUAL
    return Sense.TIGHTENS if stronger else Sense.LOOSENS if weaker else Sense.BOTH
