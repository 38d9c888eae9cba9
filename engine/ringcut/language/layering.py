"""A house rulebook laid on the layer below: texts changed, compiled, and each change found to tighten or to loosen.

What loosens needs a reason and a named approver who may; what loosens beyond a value that a binding clause fixes is
refused.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from functools import lru_cache
from pathlib import Path

import msgspec

from ringcut.language import ir
from ringcut.language.compile import compile_partly
from ringcut.language.house import FORM_VALUES, NO_TABLES, ChangeText, HouseText, read_house
from ringcut.language.housewords import word_of
from ringcut.language.leave import in_words, refusals
from ringcut.language.ruletext import RuleText, SubjectText
from ringcut.language.sources import Sources, digest_of, merged, read_sources, rulebook_files
from ringcut.language.strictness import Effect, compare_rulebooks
from ringcut.language.words import Basis, ValueText, VocabularyText
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut.reading.suggest import near
from ringcut.reading.yamltext import load

STEP_NAMES = "«ringcut rules schema --write» lets an editor offer the names"
KEYS = {"within": "within", "count": "count", "every": "every"}


class Refused(msgspec.Struct, frozen=True):
    """A change that loosens without leave: the problem, what it does to which rule, and the change that does it."""

    problem: Problem
    effect: Effect
    change: ChangeText | None = None
    by_breakage: bool = False
    """Whether it may come of a value or word that could not be read, since nothing that the house says does it."""


class Layered(msgspec.Struct, frozen=True):
    """A rulebook with what its layers did: ``effects`` by change; ``house`` is the topmost layer if that is a file."""

    book: ir.Rulebook
    effects: tuple[tuple[ChangeText | None, Effect], ...] = ()
    sources: Sources | None = None
    house: HouseText | None = None
    refused: tuple[Refused, ...] = ()
    lower: ir.Rulebook | None = None
    """The layer below in force, for a house file."""


def load_layers(path: Path, builtin: Path, as_of: str = "", below: tuple[Path, ...] = ()) -> Layered:
    """Read a rulebook folder, or a house file with the layers below it; :class:`Unreadable` with every problem."""
    if path.is_dir():
        return _folder(path, digest_of(rulebook_files(path)))
    problems: list[Problem] = []
    found = look_at_layers(path, builtin, problems, as_of, below)
    problems += [each.problem for each in found.refused if not (problems and each.by_breakage)] if found else []
    if problems or found is None:
        raise Unreadable(problems or [Problem(Place(path.name), "no rulebook in this file")])
    return found


@lru_cache(maxsize=2)
def _folder(path: Path, digest: str) -> Layered:
    """A rulebook folder with these files: two house files on one rulebook, or it and one of them, read it once."""
    problems: list[Problem] = []
    found = look_at_layers(path, path, problems)
    if problems or found is None:
        raise Unreadable(problems)
    return found


def look_at_layers(
    path: Path, builtin: Path, problems: list[Problem], as_of: str = "", below: tuple[Path, ...] = ()
) -> Layered | None:
    """As :func:`load_layers`, as far as it goes: what cannot be used is told in ``problems`` and left out.

    For proofreading only. The layers below a house file must be in force: :class:`Unreadable` where they are not.
    """
    if path.is_dir():
        sources = read_sources(path)
        return Layered(compile_partly(sources, problems), sources=sources)
    data = path.read_bytes()
    node = load(data, path.name, problems)
    house = read_house(node, problems) if node is not None else None
    lower_path = _below(house, path, builtin, (*below, path.resolve()), problems) if house is not None else None
    if house is None or lower_path is None:
        return None
    lower = load_layers(lower_path, builtin, as_of, (*below, path.resolve()))
    assert lower.sources is not None
    digest = hashlib.sha256(f"{lower.sources.digest}\0{path.name}\0".encode() + data).hexdigest()
    return lay(house, lower, digest, as_of, problems)


def _below(house: HouseText, path: Path, builtin: Path, seen: tuple[Path, ...], problems: list[Problem]) -> Path | None:
    name = house.based_on.text
    candidates = [path.parent / name, path.parent / f"{name}.yaml", path.parent / f"{name}.yml"]
    if name in ("base-practice", builtin.name):
        return builtin
    found = next((each for each in candidates if each.exists()), None)
    if found is not None and found.resolve() in seen:
        problems.append(
            Problem(
                house.based_on.place,
                "these rulebooks are based on each other",
                " -> ".join(p.name for p in seen),
            )
        )
        return None
    if found is None:
        problems.append(
            Problem(house.based_on.place, f"based-on: {name}", "base-practice, or a rulebook file beside this one")
        )
    return found


def lay(house: HouseText, lower: Layered, digest: str, as_of: str, problems: list[Problem]) -> Layered:
    """The rulebook of ``house`` on ``lower``, as far as it can be read."""
    assert lower.sources is not None
    laying = _Laying(house, lower.sources, as_of, problems)
    sources = laying.sources(digest)
    book = compile_partly(sources, problems)
    effects, refused = _judged(house, lower.book, book, laying)
    told = in_words(effects)
    aloud = (*lower.book.aloud, *laying.aloud, *house.read_as, *told)
    book = msgspec.structs.replace(book, aloud=aloud, may_approve=house.may_approve or lower.book.may_approve)
    return Layered(book, tuple(effects), sources, house, tuple(refused), lower.book)


class _Laying:
    """Applying the changes of one house rulebook to the texts below."""

    def __init__(self, house: HouseText, lower: Sources, as_of: str, problems: list[Problem]) -> None:
        self.house, self.lower, self.as_of, self.problems = house, lower, as_of, problems
        self.aloud: list[str] = []
        self.rules = list(lower.rules)
        self.vocabulary = lower.vocabulary
        self.origins = dict(lower.origins)
        self.live: list[ChangeText] = []

    def sources(self, digest: str) -> Sources:
        """The texts with every change applied."""
        house, title = self.house, self.lower.title
        for change in house.change:
            if self._expired(change):
                self.aloud.append(
                    f"{change.target}: the change expired on {change.said('expires')}, the layer below holds"
                )
                continue
            self.live.append(change)
            getattr(self, f"_{change.kind}")(change)
        own = VocabularyText(**{name: getattr(house, name) for name in VocabularyText.__struct_fields__})
        basis = Basis(house=house.rulebook)
        values = {k: v if v.basis else msgspec.structs.replace(v, basis=basis) for k, v in own.values.items()}
        own = msgspec.structs.replace(own, values=values)
        vocabulary = merged(self.vocabulary, own, self.problems)
        rules = self.rules + [(rule.subject or "house", rule) for rule in house.rules]
        for rule in house.rules:
            self.origins[rule.rule.text] = house.rulebook
        subjects = title.subjects | house.subjects
        if any(not rule.subject for rule in house.rules):
            subjects = {"house": SubjectText("house rules"), **subjects}
        title = msgspec.structs.replace(
            title,
            rulebook=house.rulebook,
            edition=house.edition.text,
            in_force_from=house.in_force_from.text,
            subjects=subjects,
            covers={**title.covers, **{k: (*title.covers.get(k, ()), *v) for k, v in house.covers.items()}},
            jurisdiction=house.jurisdiction or title.jurisdiction,
        )
        layers = (*self.lower.layers, house.rulebook)
        return Sources(
            title,
            vocabulary,
            rules,
            self.lower.tables,
            self.lower.warnings,
            digest,
            layers,
            self.origins,
            self.lower.places,
        )

    def _expired(self, change: ChangeText) -> bool:
        expires = change.said("expires")
        return bool(expires and self.as_of and self.as_of > expires)

    def _problem(self, place: Place, found: str, expected: str = "", hint: str = "") -> None:
        self.problems.append(Problem(place, found, expected, hint))

    def _rule(self, change: ChangeText) -> None:
        at = [i for i, (_, rule) in enumerate(self.rules) if rule.rule.text == change.target]
        if not at:
            close = near(change.target, [rule.rule.text for _, rule in self.rules])
            hint = f"did you mean {close}?" if close else "«ringcut rules list» names them"
            if change.target in (table.table for table in self.lower.tables):
                hint = NO_TABLES
            self._problem(change.given["rule"].place, f"no rule {change.target}", hint=hint)
            return
        for index in reversed(at):
            subject, rule = self.rules[index]
            changed = self._changed(change, rule)
            if change.said("withdraw") in ("yes", "true"):
                when = change.given.get("when")
                self.rules[index : index + 1] = [(subject, _unless(rule, when))] if when else []
                if not when:
                    self.rules = [(about, _freed(each, change.target)) for about, each in self.rules]
            elif "when" in change.given:
                when = change.given["when"]
                self.rules[index : index + 1] = [
                    (subject, _unless(rule, when)),
                    (subject, _only(changed, when)),
                ]
            else:
                self.rules[index] = (subject, changed)

    def _changed(self, change: ChangeText, rule: RuleText) -> RuleText:
        values = dict(rule.values)
        fields: dict[str, object] = {}
        for name, phrase in change.values.items():
            target = self._value_name(name, rule)
            if target in values:
                basis = Basis(house=self.house.rulebook)
                values[target] = ValueText(phrase, basis, self._bound(values[target], rule.basis), phrase.place)
                self.origins[f"{rule.rule.text}.{target} {phrase.place}"] = self.house.rulebook
            elif name in KEYS and getattr(rule, KEYS[name]) is not None:
                fields[KEYS[name]] = phrase
            elif name in ("at-least", "at-most") and rule.elapsed is not None:
                fields["elapsed"] = msgspec.structs.replace(rule.elapsed, **{name.replace("-", "_"): phrase})
            else:
                known = [*rule.values, *FORM_VALUES]
                close = near(name, known)
                hint = f"did you mean {close}?" if close else ""
                self._problem(
                    phrase.place,
                    f"{rule.rule.text} has no value {name}",
                    ", ".join(rule.values) or "no values",
                    hint,
                )
        if "class" in change.given:
            if change.said("class") not in ("critical", "major", "minor"):
                self._problem(change.given["class"].place, f"class: {change.said('class')}", "critical, major or minor")
            else:
                fields["class_"] = change.said("class")
        if "judge" in change.given:
            fields["judge"] = change.said("judge")
        return msgspec.structs.replace(rule, values=values, **fields)

    def _bound(self, value: ValueText, basis: Basis) -> Phrase | None:
        """The bound of a value, kept where its clause binds here."""
        given = value.basis or basis
        if given.house:
            return value.bound
        title = self.lower.title
        regulation = given.regulation or basis.regulation
        return value.bound if regulation.startswith(self.house.jurisdiction or title.jurisdiction) else None

    def _value_name(self, name: str, rule: RuleText) -> str:
        """A key of the form names the value that the form uses there."""
        used: Phrase | None = getattr(rule, KEYS[name]) if name in KEYS else None
        if name in ("at-least", "at-most") and rule.elapsed is not None:
            used = getattr(rule.elapsed, name.replace("-", "_"))
        return used.text if used is not None and used.text in rule.values else name

    def _value(self, change: ChangeText) -> None:
        old = self.vocabulary.values.get(change.target)
        if old is None or "to" not in change.given:
            close = near(change.target, self.vocabulary.values)
            known = f"did you mean {close}?" if close else f"one of {', '.join(self.vocabulary.values)}"
            hint = known if old is None else "to: the new value"
            self._problem(
                change.place,
                f"no value {change.target}" if old is None else f"{change.target} is changed to nothing",
                hint=hint,
            )
            return
        bound = self._bound(old, Basis())
        new = ValueText(change.given["to"], Basis(house=self.house.rulebook), bound, change.given["to"].place)
        values = {**self.vocabulary.values, change.target: new}
        self.vocabulary = msgspec.structs.replace(self.vocabulary, values=values)
        self.origins[f"value.{change.target}"] = self.house.rulebook

    def _step(self, change: ChangeText) -> None:
        old = self.vocabulary.steps.get(change.target)
        if old is None and change.target in self.house.steps:
            return
        if old is None:
            close = near(change.target, self.vocabulary.steps)
            self._problem(
                change.place, f"no step {change.target}", hint=f"did you mean {close}?" if close else STEP_NAMES
            )
            return
        for name in change.values:
            if name != "takes":
                self._problem(
                    change.values[name].place,
                    f"{name} of a step is not changed here",
                    "takes, its usual duration",
                )
        if "takes" in change.values:
            step = msgspec.structs.replace(old, takes=change.values["takes"])
            self.vocabulary = msgspec.structs.replace(
                self.vocabulary, steps={**self.vocabulary.steps, change.target: step}
            )


def _freed(rule: RuleText, gone: str) -> RuleText:
    """A rule without a rule that was withdrawn as the one it follows from."""
    if gone not in rule.follows_from:
        return rule
    return msgspec.structs.replace(rule, follows_from=tuple(each for each in rule.follows_from if each != gone))


def _only(rule: RuleText, when: Phrase) -> RuleText:
    text = f"({rule.when.text}) and ({when.text})" if rule.when else when.text
    return msgspec.structs.replace(rule, when=Phrase(text, when.place, False))


def _unless(rule: RuleText, when: Phrase) -> RuleText:
    text = f"({rule.when.text}) and not ({when.text})" if rule.when else f"not ({when.text})"
    return msgspec.structs.replace(rule, when=Phrase(text, when.place, False))


def _judged(
    house: HouseText, old: ir.Rulebook, new: ir.Rulebook, laying: _Laying
) -> tuple[list[tuple[ChangeText | None, Effect]], list[Refused]]:
    found: list[tuple[ChangeText | None, Effect]] = []
    refused: list[Refused] = []
    meant = Counter(rule.rule.text for _, rule in laying.rules)
    compiled = Counter(rule.id for rule in new.rules)
    for effect in compare_rulebooks(old, new):
        if meant[effect.rule] != compiled[effect.rule]:
            continue
        change = next((each for each in laying.live if effect.touched_by(each.kind, each.target)), None)
        found.append((change, effect))
    for change, effect in found:
        if effect.loosens:
            place = change.place if change else word_of(effect, new, house)
            others = [each for other, each in found if each.loosens and change is not None and other is change]
            classes = {each.class_ for each in (effect, *others)}
            told = refusals(change, effect, house, place or house.place, classes)
            refused += [Refused(each, effect, change, place is None) for each in told]
    return found, refused
