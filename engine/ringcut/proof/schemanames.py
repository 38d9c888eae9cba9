"""The names of a rulebook in the schemas: steps, readings, facts, conditions, rules and their values, for completion.

As they are published, the schemas offer the names of the built-in rulebook and let others pass, because a house has
more. Made for one rulebook they are ``closed``: where a name can only be one of its own, no other passes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from ringcut.language import ir
from ringcut.language.house import FORM_VALUES, RESERVED
from ringcut.proof.schemas import SCALAR, Schema
from ringcut.reading.procedurekeys import STEP_KEYS
from ringcut.relations.resolve import ADMINISTRATIVE

STEP_LISTS = ("include", "exclude", "before", "after", "from", "until", "of", "repeat")
"""Keys of a rule that hold steps, ``a / b`` too."""
EXPRESSIONS = ("need", "keep", "while")
"""Keys of a rule that may be nothing but a condition."""


def with_names(schemas: Mapping[str, Schema], book: ir.Rulebook, closed: bool = False) -> dict[str, Schema]:
    """The schemas with the names of a rulebook; their own definitions are changed in place."""
    names = _Names(book, closed)
    found = dict(schemas)
    names.procedure(found["procedure"])
    for name in ("rules", "house-rules"):
        names.rule(found[name]["$defs"])
    for name in ("vocabulary", "house-rules"):
        names.step(found[name]["$defs"])
    definitions = found["jobs"]["$defs"]
    definitions["value"] = definitions["job"]["additionalProperties"]
    definitions["job"]["additionalProperties"] = {"$ref": "#/$defs/value"}
    names.job(definitions["job"], {"$ref": "#/$defs/value"})
    names.change(found["house-rules"]["$defs"]["Change"])
    names.only(found["concessions"]["$defs"]["Concession"]["properties"], "rule", names.rules)
    if "columns" in found:
        names.only(found["columns"]["$defs"]["Task"]["properties"], "do", names.steps)
    return found


class _Names:
    def __init__(self, book: ir.Rulebook, closed: bool) -> None:
        self.book, self.closed = book, closed
        self.steps = sorted({*book.steps, *book.synonyms})
        self.rules = sorted({rule.id for rule in book.rules})
        self.traits = sorted({trait for step in book.steps.values() for trait in step.traits})

    def only(self, properties: Schema, key: str, names: Iterable[str]) -> None:
        """A key that is one of some names and can be nothing else; the rest of its schema stays."""
        given = properties[key]
        rest = {name: value for name, value in given.items() if name in ("description",)}
        offered = {"enum": sorted(names)}
        properties[key] = {**(offered if self.closed else {"anyOf": [offered, _without_words(given)]}), **rest}

    def procedure(self, schema: Schema) -> None:
        """Steps with their readings, and the facts of the job."""
        item = schema["$defs"]["item"]
        name: Schema = {"enum": self.steps}
        schema["$defs"]["step-name"] = name if self.closed else {"anyOf": [name, SCALAR]}
        named = {"$ref": "#/$defs/step-name"}
        scalar, group, step = item["anyOf"]
        assert scalar == SCALAR
        item["anyOf"] = [named, group, step]
        step["properties"]["do"] = {**named, "description": step["properties"]["do"]["description"]}
        schema["$defs"]["value"] = step["additionalProperties"]
        value = {"$ref": "#/$defs/value"}
        step["additionalProperties"] = schema["properties"]["job"]["additionalProperties"] = value
        step["allOf"] = [each for name in sorted(self.book.steps) if (each := self._readings(name, value))]
        self.job(schema["properties"]["job"], value)

    def job(self, schema: Schema, value: Schema) -> None:
        """The facts of a job."""
        facts = {each.name: each for each in self.book.facts.values() if each.means is None and each.name != "month"}
        schema["properties"] = {name: _word(each, value) for name, each in sorted(facts.items())}
        if self.closed:
            also = {synonym for each in facts.values() for synonym in each.also}
            schema["propertyNames"] = {"enum": sorted({*facts, *also, *ADMINISTRATIVE})}

    def _readings(self, name: str, value: Schema) -> Schema | None:
        """What a step may have, if it is this one."""
        step = self.book.steps[name]
        if not step.readings and not self.closed:
            return None
        called = [name, *(other for other, meant in sorted(self.book.synonyms.items()) if meant == name)]
        then: Schema = {"properties": {word.name: _word(word, value) for word in step.readings.values()}}
        if self.closed:
            also = {synonym for word in step.readings.values() for synonym in word.also}
            then["propertyNames"] = {"enum": sorted({*STEP_KEYS, *step.readings, *also})}
        return {"if": {"properties": {"do": {"enum": called}}, "required": ["do"]}, "then": then}

    def rule(self, definitions: Schema) -> None:
        """The names that a rule may be made of; an expression may be more than a name, so everything still passes."""
        properties = definitions["Rule"]["properties"]
        steps = [*sorted(self.book.steps), *(f"any {trait}" for trait in self.traits), ir.START, ir.END]
        definitions["steps-of-a-rule"] = {"enum": steps}
        definitions["condition-name"] = {"enum": sorted(self.book.conditions)}
        definitions["rule-id"] = {"enum": self.rules}
        for key in STEP_LISTS:
            _offer(properties, key, "steps-of-a-rule")
        for key in EXPRESSIONS:
            _offer(properties, key, "condition-name")
        _offer_items(properties, "order", "steps-of-a-rule")
        _offer_items(properties, "follows-from", "rule-id")

    def step(self, definitions: Schema) -> None:
        """The conditions that a step may make or end, and the traits it may have; new ones pass."""
        properties = definitions["Step"]["properties"]
        definitions["condition-name"] = {"enum": sorted(self.book.conditions)}
        definitions["trait"] = {"enum": self.traits}
        for key in ("makes", "ends"):
            _offer_items(properties, key, "condition-name")
        _offer_items(properties, "traits", "trait")

    def change(self, schema: Schema) -> None:
        """Rules with their values, values of the vocabulary, and steps."""
        properties = schema["properties"]
        for key, names in (("rule", self.rules), ("value", self.book.values), ("step", self.book.steps)):
            self.only(properties, key, names)
        valued: dict[str, dict[str, ir.Value]] = {}
        for rule in self.book.rules:
            valued.setdefault(rule.id, {}).update(rule.values)
        schema["allOf"] = [
            self._values(name, values) for name, values in sorted(valued.items()) if values or self.closed
        ]

    def _values(self, rule: str, values: Mapping[str, ir.Value]) -> Schema:
        told = {name: {**SCALAR, "description": f"Now {value.text}."} for name, value in values.items()}
        then: Schema = {"properties": told}
        if self.closed:
            then["propertyNames"] = {"enum": sorted({*values, *RESERVED, *FORM_VALUES, "values"})}
        return {"if": {"properties": {"rule": {"const": rule}}, "required": ["rule"]}, "then": then}


def _word(word: ir.Word, value: Schema) -> Schema:
    """A reading or fact: what it is, and the words that it may be; how a measure is written is for the reader."""
    told = " ".join(part for part in (word.says, f"As in: 1 {word.unit}." if word.unit else "") if part)
    choices = ["yes", "no"] if word.kind == "yes-no" else list(word.choices)
    return {**({"anyOf": [{"enum": choices}, value]} if choices else value), "description": told}


def _without_words(given: Schema) -> Schema:
    return {name: value for name, value in given.items() if name != "description"}


def _offer(properties: Schema, key: str, definition: str) -> None:
    """Names to complete with; everything that passed before still does."""
    given: dict[str, Any] = properties[key]
    words = {"description": given["description"]} if "description" in given else {}
    properties[key] = {"anyOf": [{"$ref": f"#/$defs/{definition}"}, _without_words(given)], **words}


def _offer_items(properties: Schema, key: str, definition: str) -> None:
    """The same for a list, or one where a list may be one."""
    given: dict[str, Any] = properties[key]
    words = {"description": given["description"]} if "description" in given else {}
    offered = {"anyOf": [{"$ref": f"#/$defs/{definition}"}, SCALAR]}
    properties[key] = {"anyOf": [offered, {"type": "array", "items": offered}], **words}
