"""The file formats that have a schema, and the spellings that the typed models do not show."""

from __future__ import annotations

from ringcut.judge.concessions import ConcessionsFile
from ringcut.judge.findings import Report
from ringcut.language.house import RESERVED, ChangeText, HouseFile
from ringcut.language.ruletext import RulebookText, RulesFile, TableText, WarningsFile
from ringcut.language.words import Basis, Guard, ValueText, VocabularyText
from ringcut.proof.schemas import DRAFT, SCALAR, Maker, Own, Schema
from ringcut.reading.procedurekeys import DOCUMENT_KEYS, KINDS, STEP_KEYS
from ringcut.report.published import NotRead

DAY: Schema = {"type": "string", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$", "description": "A day, as 2026-03-01."}
SEVERAL = ("by", "side", "after", "evidence")
"""Keys of a step that may have a list."""

TOLD = {
    "do": "The step, by its name in the vocabulary or a synonym.",
    "id": "A name for this entry, for after.",
    "after": "The ids of the entries that come before, instead of the step above.",
    "at": "When the step was finished: RFC 3339, or a bare time with date and timezone in the job.",
    "started": "When the step began.",
    "by": "Who did it; one or a list.",
    "side": "The sides it covers; none: all.",
    "closure": "Which closure, where the job has several.",
    "status": "done, not-done, not-applicable or not-recorded, each but the first with a reason.",
    "reason": "Why it is not done, not applicable or not recorded.",
    "evidence": "What proves it: a photo, the meter's own record.",
    "note": "Any remark.",
    "optional": "In a plan: whether it may be left out.",
    "when": "In a model procedure: the jobs for which the step is there.",
    "procedure": "plan (before the work), log (after it) or model.",
    "job": "What is known about the job: facts by name, a mapping of sides where the ends differ.",
    "steps": "The steps in their order.",
    "records": "every-step: a demanded step that is missing is nonconforming; milestones: it is not recorded.",
    "stamp": "What the time of an entry means: finished or started.",
    "sorted": "no: the rows are in no order.",
    "finished": "no: the work still goes on.",
    "work": "In a model procedure: the kind of work.",
    "says": "In a model procedure: what it is for.",
    "title": "A remark: a heading for people.",
    "recorded-by": "A remark: who wrote the log.",
    "plan-digest": "In a log: the SHA-256 of the plan it was made from.",
    "based-on": "A remark: the plan or model it was made from.",
    "plus-minus": "A remark; in a log u=0.05 in is read behind a value, and ± is asked about.",
}


CHANGED = {
    "rule": "The rule of a layer below that is changed; beside it its values by name, with the new value.",
    "value": "A value of the vocabulary that is changed; its new value is under to.",
    "step": "A step of which the usual duration is changed, under takes.",
    "to": "The new value, with its unit.",
    "reason": "Why; what is looser needs it.",
    "approved-by": "The named person who allows what is looser.",
    "expires": "The last day on which the change holds, as 2026-03-01.",
    "withdraw": "yes: the rule does not count here.",
    "class": "The rule's class here.",
    "when": "The jobs for which it is changed, over job facts; absent: all.",
    "judge": "latest or every: which doing of a step counts.",
    "basis": "Where the new value comes from.",
}


def basis(_: Maker) -> Schema:
    """A basis: two words, or a mapping with one kind."""
    kinds = [
        {
            "type": "object", "properties": {kind: SCALAR, "binds": SCALAR}, "required": [kind],
            "additionalProperties": False,
        }
        for kind in ("house", "standard", "regulation")
    ]  # fmt: skip
    words = {"enum": ["common practice", "common-practice", "geometry"]}
    return {"description": " ".join((Basis.__doc__ or "").split()), "anyOf": [words, *kinds]}


def value(maker: Maker) -> Schema:
    """A value: bare, or a mapping with its own basis."""
    return {"anyOf": [SCALAR, maker.struct(ValueText)]}


def guard(maker: Maker) -> Schema:
    """What sets a condition: bare, or a mapping with ``where``."""
    return {"anyOf": [SCALAR, maker.struct(Guard)]}


def change(_: Maker) -> Schema:
    """A change: the keys that are reserved, and the names of values beside them."""
    kinds = [{"required": [kind]} for kind in ("rule", "value", "step")]
    return {
        "description": " ".join((ChangeText.__doc__ or "").split()),
        "type": "object",
        "properties": {
            **{key: {**SCALAR, "description": CHANGED[key]} for key in RESERVED},
            "expires": {**DAY, "description": CHANGED["expires"]},
            "until": False,
            "values": {
                "type": "object",
                "additionalProperties": SCALAR,
                "description": "The values, where they do not stand beside the rule.",
            },
        },
        "additionalProperties": SCALAR,
        "oneOf": kinds,
    }


def house_rules() -> Schema:
    """A house rulebook. An edition that YAML takes for a number loses its nought: 1.10 is 1.1."""
    found = Maker(OWN).document(HouseFile, "A house rulebook")
    found["properties"]["in-force-from"] = {**DAY, "description": "The first day, as 2026-03-01."}
    found["properties"]["edition"] = {"type": ["string", "integer"], "description": "Its number, in quotes."}
    return found


def concessions() -> Schema:
    """A file of concessions."""
    found = Maker(OWN).document(ConcessionsFile, "A file of concessions and deviation permits")
    found["$defs"]["Concession"]["properties"] |= {"granted": DAY, "expires": DAY}
    return found


OWN: Own = {Basis: basis, ValueText: value, Guard: guard, ChangeText: change}


ONE: Schema = {"type": ["string", "number", "boolean", "null"]}
GIVEN: Schema = {
    "anyOf": [ONE, {"type": "array", "items": ONE}, {"type": "object", "minProperties": 1, "additionalProperties": ONE}]
}
"""A fact or reading: a value, a list, or a value a side."""


def jobs() -> Schema:
    """The facts of many jobs: a list, or a mapping from reference to facts."""
    job: Schema = {"type": "object", "additionalProperties": GIVEN, "description": TOLD["job"]}
    listed = {
        "type": "array", "items": {"allOf": [{"$ref": "#/$defs/job"}, {"anyOf": [
            {"required": [name]} for name in ("reference", "ref", "order", "work-order", "wo", "ticket", "job")]}]},
    }  # fmt: skip
    named = {"type": "object", "additionalProperties": {"$ref": "#/$defs/job"}}
    return {
        "$schema": DRAFT, "title": "A jobs file: the facts of each work order", "anyOf": [listed, named],
        "$defs": {"job": job},
    }  # fmt: skip


def stock_list() -> Schema:
    """A user's stock list of sleeves: mappings, or rows in the order of the columns."""
    told = {
        "size": "What the size is called.",
        "slips-over": "The largest diameter that it slips over, as 3.5 in.",
        "shrinks-to": "The smallest diameter that it shrinks onto.",
        "length": "How long it comes.",
    }
    columns = {name: {**SCALAR, "description": words} for name, words in told.items()}
    sleeve: Schema = {"type": "object", "properties": columns, "required": sorted(columns)}
    row = {"type": "array", "items": SCALAR, "minItems": len(columns)}
    rows = {"type": "array", "items": {"anyOf": [sleeve, row]}, "minItems": 1}
    under = [
        {"type": "object", "properties": {name: rows}, "required": [name]} for name in ("stock", "sleeves", "rows")
    ]
    return {"$schema": DRAFT, "title": "A stock list of sleeves", "anyOf": [rows, *under]}


def procedure() -> Schema:
    """A plan, a log or a model procedure."""
    one, reading = ONE, GIVEN
    keys: dict[str, Schema] = {
        key: {
            **({"anyOf": [one, {"type": "array", "items": one}]} if key in SEVERAL else one), "description": TOLD[key],
        }
        for key in STEP_KEYS
    }  # fmt: skip
    keys["do"] = {**SCALAR, "description": TOLD["do"]}
    step = {"type": "object", "properties": keys, "required": ["do"], "additionalProperties": reading}
    item: Schema = {"$ref": "#/$defs/item"}
    several = {
        "type": "array",
        "items": {"anyOf": [item, {"type": "array", "items": item, "minItems": 1}]},
        "minItems": 1,
    }
    group = {
        "type": "object", "properties": {"any-order": several}, "required": ["any-order"],
        "additionalProperties": False, "description": "Steps, or sequences of steps, in no order.",
    }  # fmt: skip
    top: dict[str, Schema] = {key: {**SCALAR, "description": TOLD.get(key, "")} for key in DOCUMENT_KEYS}
    top["procedure"] = {"enum": list(KINDS), "description": TOLD["procedure"]}
    top["job"] = {"type": "object", "additionalProperties": reading, "description": TOLD["job"]}
    top["steps"] = {"type": "array", "items": item, "minItems": 1, "description": TOLD["steps"]}
    return {
        "$schema": DRAFT, "title": "A plan, a log or a model procedure", "type": "object", "properties": top,
        "required": ["procedure", "steps"], "additionalProperties": False,
        "$defs": {"item": {"anyOf": [SCALAR, group, step]}},
    }  # fmt: skip


def report() -> Schema:
    """What ``check --format json`` writes: the report of a file, or why it was not read; of several files a list."""
    maker = Maker(strict=True)
    one = {"anyOf": [maker.of(Report), maker.of(NotRead)]}
    several: Schema = {
        "type": "object", "properties": {"reports": {"type": "array", "items": one}}, "required": ["reports"],
        "additionalProperties": False, "description": "Several files, in the order given.",
    }  # fmt: skip
    return {
        "$schema": DRAFT, "title": "The JSON report of check", "anyOf": [*one["anyOf"], several],
        "$defs": dict(sorted(maker.definitions.items())),
    }  # fmt: skip


def schemas() -> dict[str, Schema]:
    """Every schema that this room knows, by the name of its file without the ending."""
    return {
        "procedure": procedure(),
        "rulebook": Maker(OWN).document(RulebookText, "The title page of a rulebook: rulebook.yaml"),
        "vocabulary": Maker(OWN).document(VocabularyText, "A file of vocabulary/"),
        "rules": Maker(OWN).document(RulesFile, "A file of rules/"),
        "table": Maker(OWN).document(TableText, "A file of tables/"),
        "warnings": Maker(OWN).document(WarningsFile, "warnings.yaml"),
        "house-rules": house_rules(),
        "concessions": concessions(),
        "jobs": jobs(),
        "stock-list": stock_list(),
        "report": report(),
    }
