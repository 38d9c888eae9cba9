"""Whether a change tightens or loosens a rule: by sign, by form, by truth table, by the polarity of conditions.

The answer is per rule and about verdicts: a rule is loosened where something it refused may now conform. What none of
the tests decides is «cannot tell», which counts as loosening.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum
from fractions import Fraction
from itertools import product

import msgspec

from ringcut.language import ir
from ringcut.language import nodes as n

MOST_ROWS = 100_000
"""Rows of a truth table looked at before it gives up."""


class Sense(Enum):
    """What a change does to a rule."""

    EQUAL = "the same"
    TIGHTENS = "tightens"
    LOOSENS = "loosens"
    BOTH = "loosens some and tightens some"
    CANNOT_TELL = "cannot tell, so treated as loosening"


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
    touched = _vocabulary_effects(old, new)
    found: list[Effect] = []
    for name, rules in after.items():
        if name not in before:
            found.append(Effect(name, rules[0].class_, Sense.TIGHTENS, "a new rule", (("rule", name),)))
            continue
        effect = _changed(before[name], rules, new, touched)
        if effect is not None:
            found.append(effect)
    for name, rules in before.items():
        if name not in after:
            bound = any(value.bound for value in rules[0].values.values())
            law = bool(rules[0].basis.regulation) and binds(rules[0].basis.regulation, new)
            found.append(Effect(name, rules[0].class_, Sense.LOOSENS, "withdrawn", (("rule", name),), law and bound))
    return found


def binds(regulation: str, book: ir.Rulebook) -> bool:
    """Whether the rulebook's jurisdiction names the regulation (by its beginning)."""
    return any(regulation.startswith(each) for each in book.jurisdiction)


def _by_id(book: ir.Rulebook) -> dict[str, list[ir.Rule]]:
    found: dict[str, list[ir.Rule]] = {}
    for rule in book.rules:
        found.setdefault(rule.id, []).append(rule)
    return found


def _changed(
    old: list[ir.Rule],
    new: list[ir.Rule],
    book: ir.Rulebook,
    touched: dict[str, list[tuple[bool, str, tuple[str, str]]]],
) -> Effect | None:
    senses: list[Sense] = []
    words: list[str] = []
    beyond = False
    for rule in new:
        against = old[min(new.index(rule), len(old) - 1)] if len(old) > 1 else old[0]
        sense, said = _rule_sense(against, rule, book, compare_when=len(new) == 1)
        senses.append(sense)
        words += said
        beyond = beyond or sense in LOOSENING and _beyond_bound(rule, against, book)
    sources: list[tuple[str, str]] = [("rule", new[0].id)]
    for sense, told, source in _by_conditions(new[0], touched):
        senses.append(sense)
        words.append(told)
        sources.append(source)
        beyond = beyond or sense in LOOSENING and _is_bound(source, book)
    total = combined(senses)
    if total == Sense.EQUAL:
        return None
    if len(new) == 1 and len(old) == 1 and not words:
        words = ["changed"]
    return Effect(new[0].id, old[0].class_, total, ", ".join(dict.fromkeys(words)), tuple(sources), beyond)


def combined(senses: Iterable[Sense]) -> Sense:
    """Several changes as one."""
    kinds = set(senses) - {Sense.EQUAL}
    if not kinds:
        return Sense.EQUAL
    if Sense.CANNOT_TELL in kinds:
        return Sense.CANNOT_TELL
    return kinds.pop() if len(kinds) == 1 else Sense.BOTH


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


def _is_bound(source: tuple[str, str], book: ir.Rulebook) -> bool:
    """Whether a value of the vocabulary is one that a binding clause itself fixes."""
    value = book.values.get(source[1]) if source[0] == "value" else None
    return value is not None and bool(value.bound)


def _beyond_bound(new: ir.Rule, old: ir.Rule, book: ir.Rulebook) -> bool:
    for name, value in new.values.items():
        before = old.values.get(name)
        if value.bound and before is not None and before.text != value.text and binds(str(_basis(before, old)), book):
            return True
    return False


def _basis(value: ir.Value, rule: ir.Rule) -> str:
    return value.basis.regulation or rule.basis.regulation


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


# the sign of a value in a limit

UP, DOWN, SAME, EITHER = 1, -1, 0, 2


def direction(old: n.Node, new: n.Node) -> Sense:
    """The sense of a limit whose constants changed: true more often loosens."""
    found = _moves(old, new)
    return {SAME: Sense.EQUAL, UP: Sense.LOOSENS, DOWN: Sense.TIGHTENS, EITHER: Sense.CANNOT_TELL}[found]


def _moves(old: n.Node, new: n.Node) -> int:
    """How a node moves from the old form to the new one; readings are never negative by their ranges."""
    if old == new:
        return SAME
    if type(old) is not type(new):
        return EITHER
    match old, new:
        case n.Const(a), n.Const(b):
            return UP if b > a else DOWN
        case n.Arithmetic(op, a, b), n.Arithmetic(other, c, d) if op == other:
            left, right = _moves(a, c), _moves(b, d)
            if op in ("-", "/"):
                right = -right if right in (UP, DOWN) else right
            if op in ("*", "/") and not (_not_negative(a) and _not_negative(b)):
                return EITHER
            return _together(left, right)
        case n.Compare(op, a, b), n.Compare(other, c, d) if op == other:
            if op in ("=", "!="):
                return EITHER
            left, right = _moves(a, c), _moves(b, d)
            left, right = (
                (-left if left in (UP, DOWN) else left, right)
                if op[0] == "<"
                else (left, -right if right in (UP, DOWN) else right)
            )
            return _together(left, right)
        case n.Not(a), n.Not(b):
            found = _moves(a, b)
            return -found if found in (UP, DOWN) else found
        case n.And(items), n.And(others) if len(items) == len(others):
            return _all_together(items, others)
        case n.Or(items), n.Or(others) if len(items) == len(others):
            return _all_together(items, others)
        case n.Call(name, args), n.Call(other, others) if name == other and name in (
            "min",
            "max",
            "both",
            "least",
            "greatest",
        ):
            return _all_together(args, others)
    return EITHER


def _all_together(items: tuple[n.Node, ...], others: tuple[n.Node, ...]) -> int:
    found = SAME
    for one, two in zip(items, others, strict=True):
        found = _together(found, _moves(one, two))
    return found


def _together(a: int, b: int) -> int:
    if SAME in (a, b) or a == b:
        return a or b
    return EITHER


def _not_negative(node: n.Node) -> bool:
    match node:
        case n.Const(value):
            return value >= 0
        case n.Reading() | n.Fact() | n.Lookup() | n.FirstOf():
            return True
        case n.Arithmetic(op, left, right):
            return op != "-" and _not_negative(left) and _not_negative(right)
        case n.Call(_, args):
            return all(_not_negative(arg) for arg in args)
    return False


# truth tables


def implies(one: n.Node, two: n.Node, book: ir.Rulebook) -> bool | None:
    """Whether ``one`` implies ``two`` for all facts and conditions; None where the table is too large or not finite."""
    domains: dict[str, tuple[object, ...]] = {}
    for node in (*n.walk(one), *n.walk(two)):
        if not _domain(node, domains, book, (one, two)):
            return None
    rows = 1
    for values in domains.values():
        rows *= len(values)
    if rows > MOST_ROWS:
        return None
    names = list(domains)
    for row in product(*domains.values()):
        facts = dict(zip(names, row, strict=True))
        if holds(one, facts, book) and not holds(two, facts, book):
            return False
    return True


def _domain(
    node: n.Node, domains: dict[str, tuple[object, ...]], book: ir.Rulebook, both: tuple[n.Node, n.Node]
) -> bool:
    match node:
        case n.Condition(name):
            domains[f"condition {name}"] = (False, True)
        case n.Fact(name):
            word = book.facts[name]
            if word.means is not None:
                return all(_domain(each, domains, book, both) for each in n.walk(word.means))
            if word.kind == "yes-no":
                domains[name] = ("no", "yes")
            elif word.kind == "choice" and word.choices:
                domains[name] = word.choices
            elif word.kind == "list":
                for choice in word.choices:
                    domains[f"{name} has {choice}"] = (False, True)
            else:
                cuts = sorted({c for each in both for c in _cuts(each, name, book)})
                if not cuts:
                    return False
                between = [(a + b) / 2 for a, b in zip(cuts, cuts[1:], strict=False)]
                domains[name] = tuple(sorted([cuts[0] - 1, *cuts, *between, cuts[-1] + 1]))
        case n.Reading() | n.Lookup() | n.FirstOf() | n.Call() | n.Arithmetic():
            return False
    return True


def _cuts(node: n.Node, name: str, book: ir.Rulebook) -> list[Fraction]:
    found = []
    for each in n.walk(node):
        match each:
            case n.Compare(_, n.Fact(fact), n.Const(value)) | n.Compare(_, n.Const(value), n.Fact(fact)) if (
                fact == name
            ):
                found.append(value)
            case n.Fact(fact) if book.facts[fact].means is not None and fact != name:
                means = book.facts[fact].means
                found += _cuts(means, name, book) if means is not None else []
    return found


def holds(node: n.Node, facts: dict[str, object], book: ir.Rulebook) -> bool:
    """Two-valued truth of an expression over facts and conditions, all known."""
    match node:
        case n.And(items):
            return all(holds(item, facts, book) for item in items)
        case n.Or(items):
            return any(holds(item, facts, book) for item in items)
        case n.Not(item):
            return not holds(item, facts, book)
        case n.Fixed(value):
            return value
        case n.Condition(name):
            return bool(facts[f"condition {name}"])
        case n.Has(n.Fact(name), word):
            return bool(facts.get(f"{name} has {word}", False))
        case n.Is(n.Fact(name), words):
            means = book.facts[name].means
            if means is not None:
                return ("yes" if holds(means, facts, book) else "no") in words
            return facts[name] in words
        case n.Compare(op, left, right):
            a, b = _number(left, facts), _number(right, facts)
            return {"<": a < b, "<=": a <= b, ">": a > b, ">=": a >= b, "=": a == b, "!=": a != b}[op]
    raise TypeError(f"{type(node).__name__} has no two-valued truth here")


def _number(node: n.Node, facts: dict[str, object]) -> Fraction:
    if isinstance(node, n.Const):
        return node.value
    assert isinstance(node, n.Fact)
    value = facts[node.name]
    assert isinstance(value, Fraction)
    return value


# conditions whose makers, enders, guards or start changed


def _vocabulary_effects(old: ir.Rulebook, new: ir.Rulebook) -> dict[str, list[tuple[bool, str, tuple[str, str]]]]:
    """Condition: (whether it is now true more often; None-like both are two rows, words, source)."""
    found: dict[str, list[tuple[bool, str, tuple[str, str]]]] = {}
    for name, step in new.steps.items():
        before = old.steps.get(name)
        ours = {(e.condition, e.to, e.where) for e in step.effects}
        theirs = {(e.condition, e.to, e.where) for e in before.effects} if before else set()
        for condition, to, _ in sorted(ours ^ theirs, key=repr):
            source = ("step", name) if before is None else _value_source(old, new)
            added = (condition, to, _) in ours
            for more in _more_often(to, added):
                words = f"{name} {'now' if added else 'no longer'} {_verb(to)} {condition}"
                if before is not None:
                    words = f"{condition} is set by {name} at another value"
                found.setdefault(condition, []).append((more, words, source))
    found |= _guard_moves(old, new, found)
    for name, state in new.conditions.items():
        was = old.conditions.get(name)
        if was is not None and (was.at_start, was.lapses, was.means) != (
            state.at_start,
            state.lapses,
            state.means,
        ):
            longer = state.lapses is None or was.lapses is not None and state.lapses > was.lapses
            rows = [longer] if (was.at_start, was.means) == (state.at_start, state.means) else [True, False]
            source = _value_source(old, new)
            found.setdefault(name, []).extend((more, f"{name} lasts otherwise", source) for more in rows)
    return found


def _guard_moves(
    old: ir.Rulebook, new: ir.Rulebook, found: dict[str, list[tuple[bool, str, tuple[str, str]]]]
) -> dict[str, list[tuple[bool, str, tuple[str, str]]]]:
    """A guard of an old step whose constants alone changed has a sign."""
    moved: dict[str, list[tuple[bool, str, tuple[str, str]]]] = {}
    for name, step in new.steps.items():
        before = old.steps.get(name)
        if before is None or len(before.effects) != len(step.effects):
            continue
        for was, now in zip(before.effects, step.effects, strict=True):
            if was == now or was.condition != now.condition or was.where != now.where:
                continue
            sense = direction(was.to, now.to)
            words = f"{now.condition} is set by {name} at another value"
            if sense in (Sense.LOOSENS, Sense.TIGHTENS):
                moved[now.condition] = [(sense == Sense.LOOSENS, words, _value_source(old, new))]
    return moved


def _value_source(old: ir.Rulebook, new: ir.Rulebook) -> tuple[str, str]:
    changed = [name for name, value in new.values.items() if name in old.values and old.values[name].text != value.text]
    return ("value", changed[0]) if changed else ("value", "")


def _more_often(to: n.Node, added: bool) -> list[bool]:
    if isinstance(to, n.Fixed):
        return [to.value == added]
    return [True, False]


def _verb(to: n.Node) -> str:
    return "sets" if not isinstance(to, n.Fixed) else "makes" if to.value else "ends"


def _by_conditions(
    rule: ir.Rule, touched: dict[str, list[tuple[bool, str, tuple[str, str]]]]
) -> list[tuple[Sense, str, tuple[str, str]]]:
    match rule.form:
        case ir.Need(what=what):
            node = what
        case ir.Keep():
            node = rule.form.implied
        case ir.Repeat(during=during):
            node = n.Not(during)
        case _:
            return []
    found = []
    for name, positive in polarities(node):
        for more, words, source in touched.get(name, ()):
            found.append((Sense.LOOSENS if more == positive else Sense.TIGHTENS, words, source))
    return found


def polarities(node: n.Node, positive: bool = True) -> list[tuple[str, bool]]:
    """Each condition of an expression with whether it stands positively."""
    match node:
        case n.Condition(name):
            return [(name, positive)]
        case n.Not(item):
            return polarities(item, not positive)
        case _:
            return [found for child in n.children(node) for found in polarities(child, positive)]
