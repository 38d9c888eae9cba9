"""The published schemas: up to date, true to every shipped file, and as strict about shape as the readers are."""

from __future__ import annotations

import json
import re
import shutil
from collections import Counter
from collections.abc import Callable, Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any

import msgspec
import pytest
from click.testing import Result
from jsonschema import Draft202012Validator
from tests.proof.test_seeded import SEEDS

from ringcut.archive.auditreport import AuditReport
from ringcut.archive.columnfile import read_columns
from ringcut.archive.counts import Counts as AuditCounts
from ringcut.archive.jobs import read_jobs
from ringcut.checking import check
from ringcut.draft.stock import read_stock
from ringcut.judge.concessions import ConcessionsFile
from ringcut.language.house import read_house
from ringcut.language.ir import Rulebook
from ringcut.language.ruletext import RulebookText, RulesFile, TableText, WarningsFile
from ringcut.language.sources import HOOKS
from ringcut.language.words import VocabularyText
from ringcut.reading.decode import decode
from ringcut.reading.problems import Problem, Unreadable
from ringcut.reading.procedurefile import read_raw
from ringcut.reading.yamlnodes import Map, Node, Seq
from ringcut.reading.yamltext import load
from ringcut.report.published import encoded
from ringcut_cli.publish.schemafiles import schema_files

ROOT = Path(__file__).parents[2]
FILES = schema_files()
HEAD = 'rulebook: x\nedition: "1"\nbased-on: base-practice\nin-force-from: 2026-03-01\n'
RULE = "subject: s\nrules:\n  - {rule: a, says: b, class: minor, include: cover}\n"


def said(name: str, data: Any) -> list[str]:
    """What a schema has against some data."""
    return [error.message for error in validator(name).iter_errors(data)]


@lru_cache
def validator(name: str) -> Any:
    return Draft202012Validator(json.loads(FILES[f"{name}.json"]))


def as_an_editor_has_it(node: Node) -> Any:
    """The data of a file as YAML 1.2 types it: a plain 3 is a number."""
    if isinstance(node, Map):
        return {key.text: as_an_editor_has_it(value) for key, value in node.entries}
    if isinstance(node, Seq):
        return [as_an_editor_has_it(item) for item in node.items]
    if node.null or not node.plain:
        return None if node.null else node.text
    if re.fullmatch(r"[-+]?[0-9]+", node.text):
        return int(node.text)
    if re.fullmatch(r"[-+]?[0-9]+\.[0-9]+", node.text):
        return float(node.text)
    return {"true": True, "false": False}.get(node.text, node.text)


def shipped() -> Iterator[tuple[str, Path]]:
    """Every shipped file with the schema it belongs to."""
    folder = ROOT / "rulebook"
    yield "rulebook", folder / "rulebook.yaml"
    yield "warnings", folder / "warnings.yaml"
    for kind, place in (
        ("vocabulary", "vocabulary"),
        ("rules", "rules"),
        ("table", "tables"),
        ("procedure", "procedures"),
    ):
        yield from ((kind, path) for path in sorted((folder / place).rglob("*.yaml")))
    for path in sorted((ROOT / "cli" / "ringcut_cli" / "demo").rglob("*.yaml")):
        if path.read_text(encoding="utf-8").startswith("procedure:") and path.name != "as-typed.yaml":
            yield "procedure", path


@pytest.mark.parametrize("name", sorted(FILES))
def test_a_schema_is_a_schema_and_up_to_date(name: str) -> None:
    Draft202012Validator.check_schema(json.loads(FILES[name]))
    written = ROOT / "rulebook" / "schema" / name
    assert written.read_bytes() == FILES[name], "run: ringcut rules schema --write rulebook/schema"


def test_no_other_schema_lies_there() -> None:
    assert {path.name for path in (ROOT / "rulebook" / "schema").iterdir()} == set(FILES)


@pytest.mark.parametrize(
    ("name", "path"), [pytest.param(*each, id=f"{each[1].parent.name}/{each[1].name}") for each in shipped()]
)
def test_every_shipped_file_fits_its_schema(name: str, path: Path) -> None:
    node = load(path.read_bytes(), path.name, [])
    assert node is not None
    assert said(name, as_an_editor_has_it(node)) == []


def keys_of(schema: Any, name: str) -> Iterator[tuple[str, Any]]:
    """Every key that a schema knows, with what it says of it."""
    for key, told in schema.get("properties", {}).items():
        yield f"{name}.{key}", told
    for inner, definition in schema.get("$defs", {}).items():
        if isinstance(definition, dict):
            yield from keys_of(definition, inner)


BY_HAND = ("procedure", "house-rules", "rulebook", "rules", "vocabulary", "table", "warnings", "concessions", "columns")


@pytest.mark.parametrize("name", BY_HAND)
def test_an_editor_says_what_each_key_means(name: str) -> None:
    """Symptom: an author with the schema in the editor was offered need, keep, within, and not told what they do."""
    schema = json.loads(FILES[f"{name}.json"])
    told = dict(keys_of(schema, name))
    dumb = [key for key, each in told.items() if each and "$ref" not in each and not each.get("description")]
    assert len(told) >= 3
    assert dumb == []


def test_a_report_fits_its_schema(book: Rulebook) -> None:
    plan = ROOT / "cli" / "ringcut_cli" / "demo" / "lead-opening.yaml"
    assert said("report", json.loads(encoded([check(plan.read_bytes(), plan.name, book, "2026-06-01")]))) == []


def test_reports_of_several_files_and_of_unread_ones_fit_it_too(run: Callable[..., Result], tmp_path: Path) -> None:
    (tmp_path / "bad.yaml").write_text("procedure: plan\n")
    plan = ROOT / "cli" / "ringcut_cli" / "demo" / "lead-opening.yaml"
    alone = json.loads(run("check", tmp_path / "bad.yaml", "--format", "json").stdout)
    several = json.loads(run("check", tmp_path / "bad.yaml", plan, "--format", "json").stdout)
    assert set(alone) == {"file", "problems"} and set(several) == {"reports"}
    assert said("report", alone) == said("report", several) == []
    del several["reports"][1]["verdict"]
    assert said("report", several) != []


@pytest.fixture(scope="module")
def sheets(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A weekly sheet with its column and jobs files, a file with a bad line, and a plan of one of its logs."""
    folder = tmp_path_factory.mktemp("sheets")
    for name in ("contractor-c.csv", "contractor-c.yaml", "workorders.csv", "g.jsonl"):
        shutil.copy(ROOT / "tests" / "archive" / "data" / name, folder)
    job = "{reference: HV-2031, work: trouble-opening, sheath: lead, construction: single, core: paper}"
    (folder / "plan.yaml").write_text(f"procedure: plan\njob: {job}\nsteps: [guard-work-area, open-manhole]\n")
    return folder


WEEK = ("contractor-c.csv", "g.jsonl", "--columns", "contractor-c.yaml", "--jobs", "workorders.csv")


@pytest.mark.parametrize("arguments", [WEEK, (*WEEK, "--plan", "plan.yaml"), ("nothing.csv",)], ids=len)
def test_what_audit_writes_fits_its_schema_and_its_model(
    arguments: tuple[str, ...], sheets: Path, monkeypatch: pytest.MonkeyPatch, run: Callable[..., Result]
) -> None:
    monkeypatch.chdir(sheets)
    written = run("audit", *arguments, "--as-of", "2026-04-01", "--format", "json").stdout_bytes
    told = json.loads(written)
    assert said("audit-report", told) == []
    report = msgspec.json.decode(written, type=AuditReport)
    assert [each.reference for each in report.logs] == [each["reference"] for each in told["logs"]]
    assert list(told) == [field.encode_name for field in msgspec.structs.fields(AuditReport)]
    assert (len(told["logs"]) > 3, any(each["compared"] for each in told["logs"])) == (
        "contractor-c.csv" in arguments, "--plan" in arguments,
    )  # fmt: skip
    for key in ("verdict", "made-from", "complete"):
        assert said("audit-report", {name: value for name, value in told.items() if name != key}) != []


def test_what_counts_writes_fits_its_schema_and_its_model(
    sheets: Path, monkeypatch: pytest.MonkeyPatch, run: Callable[..., Result]
) -> None:
    monkeypatch.chdir(sheets)
    written = run("audit", *WEEK, "--as-of", "2026-04-01", "--counts", "--format", "json").stdout_bytes
    told = json.loads(written)
    assert said("audit-counts", told) == []
    counts = msgspec.json.decode(written, type=AuditCounts)
    assert counts.logs == told["logs"] > 3
    assert list(told) == [field.encode_name for field in msgspec.structs.fields(AuditCounts)]
    for key in ("logs", "verdicts", "nonconforming"):
        assert said("audit-counts", {name: value for name, value in told.items() if name != key}) != []


Reader = Callable[[str], list[Problem]]


def decoded(kind: type) -> Reader:
    def reads(text: str) -> list[Problem]:
        problems: list[Problem] = []
        node = load(text, "f", problems)
        if node is not None:
            decode(node, kind, problems, HOOKS)
        return problems

    return reads


def house(text: str) -> list[Problem]:
    problems: list[Problem] = []
    node = load(text, "f", problems)
    if node is not None:
        read_house(node, problems)
    return problems


def procedure(text: str) -> list[Problem]:
    problems: list[Problem] = []
    read_raw(text.encode(), "f", problems)
    return problems


def columns(text: str) -> list[Problem]:
    try:
        read_columns(text.encode(), "f")
    except Unreadable as error:
        return list(error.problems)
    return []


GOOD: list[tuple[str, Reader, str]] = [
    ("procedure", procedure,
     "procedure: plan\nsteps: [a, {do: b, x: 5 in, y: {A: 1, B: 2}, by: [P, Q]}, {any-order: [c, [d, e]]}]\n"),
    ("procedure", procedure,
     "procedure: log\njob: {work: a, special: [b, c]}\nrecords: milestones\nsteps: [{do: a, at: 10:00}]\n"),
    ("rulebook", decoded(RulebookText),
     'rulebook: a\nedition: "1"\nin-force-from: 2026-01-01\nsubjects: {a: {says: b}}\n'),
    ("rules", decoded(RulesFile), RULE),
    ("vocabulary", decoded(VocabularyText),
     "facts: {wet: {kind: yes-no}}\nsteps: {cut: {says: cut, sets: {a: b > 1}}}\n"),
    ("vocabulary", decoded(VocabularyText), "values: {a: 5 in, b: {value: 6 in, basis: geometry}}\n"),
    ("table", decoded(TableText), "table: t\ncolumns: [a, b]\nrows: [[1, 2]]\nkeys: {a: exact}\n"),
    ("warnings", decoded(WarningsFile), "warnings: [{signal: DANGER, says: x}]\nends-with: y\n"),
    ("house-rules", house,
     HEAD + "change: [{rule: a, shortest: 6 in, reason: b}]\nmay-approve: {major: [R. Example]}\n"),
    ("concessions", decoded(ConcessionsFile),
     "concessions: [{job: a, rule: b, reason: c, approved-by: R. X, granted: 2026-01-01, expires: 2026-02-01}]\n"),
    ("columns", columns,
     "contractor: C\nshape: step-rows\ncolumns: {WO: reference, T: {holds: time}, Task: task}\n"
     "tasks: [{say: x, do: y}]\n"),
]  # fmt: skip

BAD: list[tuple[str, Reader, str]] = [
    ("procedure", procedure, "steps: [a]\n"),
    ("procedure", procedure, "procedure: plan\n"),
    ("procedure", procedure, "procedure: plan\nsteps: []\n"),
    ("procedure", procedure, "procedure: plan\nsteps: guard\n"),
    ("procedure", procedure, "procedure: recipe\nsteps: [a]\n"),
    ("procedure", procedure, "procedure: plan\ncolour: red\nsteps: [a]\n"),
    ("procedure", procedure, "procedure: plan\njob: [a]\nsteps: [a]\n"),
    ("procedure", procedure, "procedure: plan\nsteps: [{id: a}]\n"),
    ("procedure", procedure, "procedure: plan\nsteps: [[a, b]]\n"),
    ("procedure", procedure, "procedure: plan\nsteps: [{any-order: a}]\n"),
    ("procedure", procedure, "procedure: plan\nsteps: [{any-order: []}]\n"),
    ("procedure", procedure, "procedure: plan\nsteps: [{any-order: [a], at: 10:00}]\n"),
    ("procedure", procedure, "procedure: plan\nsteps: [{do: [a]}]\n"),
    ("procedure", procedure, "procedure: plan\nsteps: [{do: a, x: {A: [1]}}]\n"),
    ("rulebook", decoded(RulebookText), "rulebook: a\nin-force-from: 2026-01-01\n"),
    ("rulebook", decoded(RulebookText), "rulebook: a\nedition: x\nin-force-from: 2026-01-01\nsubjects: [a]\n"),
    ("rules", decoded(RulesFile), RULE.replace("class: minor", "class: grave")),
    ("rules", decoded(RulesFile), RULE.replace("says: b, ", "")),
    ("rules", decoded(RulesFile), RULE.replace("says: b", "says: [b]")),
    ("rules", decoded(RulesFile), RULE.replace("include: cover", "incl: cover")),
    ("rules", decoded(RulesFile), RULE.replace("include: cover", "include: cover, basis: house")),
    ("rules", decoded(RulesFile), RULE.replace("include: cover", "include: cover, basis: {law: x}")),
    ("rules", decoded(RulesFile), RULE.replace("include: cover", "elapsed: {from: a}")),
    ("rules", decoded(RulesFile), "rules: []\n"),
    ("vocabulary", decoded(VocabularyText), "steps: {cut: {}}\n"),
    ("vocabulary", decoded(VocabularyText), "steps: {cut: {says: a, again: sometimes}}\n"),
    ("vocabulary", decoded(VocabularyText), "steps: {cut: {says: a, readings: [b]}}\n"),
    ("vocabulary", decoded(VocabularyText), "facts: {wet: {sort: yes-no}}\n"),
    ("vocabulary", decoded(VocabularyText), "values: {a: {basis: geometry}}\n"),
    ("table", decoded(TableText), "columns: [a]\n"),
    ("warnings", decoded(WarningsFile), "warnings: [{signal: LOOK, says: x}]\nends-with: y\n"),
    ("house-rules", house, HEAD + "change: [{reason: b}]\n"),
    ("house-rules", house, HEAD + "change: [{rule: a, value: b}]\n"),
    ("house-rules", house, HEAD + "change: [a]\n"),
    ("house-rules", house, HEAD + "change: [{rule: a, shortest: [6 in]}]\n"),
    ("house-rules", house, HEAD + "colour: red\n"),
    ("house-rules", house, HEAD.replace("based-on: base-practice\n", "")),
    ("concessions", decoded(ConcessionsFile), "concessions: [{job: a, rule: b}]\n"),
    ("columns", columns, "shape: round\n"),
    ("columns", columns, "columns: {WO: {holds: nothing}}\n"),
    ("columns", columns, "colour: red\n"),
]


@pytest.mark.parametrize(("name", "reads", "text"), GOOD)
def test_what_a_reader_takes_fits_the_schema(name: str, reads: Reader, text: str) -> None:
    node = load(text, "f", [])
    assert node is not None
    assert reads(text) == []
    assert said(name, as_an_editor_has_it(node)) == []


@pytest.mark.parametrize(("name", "reads", "text"), BAD)
def test_what_a_reader_refuses_for_its_shape_the_schema_refuses(name: str, reads: Reader, text: str) -> None:
    node = load(text, "f", [])
    assert node is not None
    assert reads(text) != []
    assert said(name, as_an_editor_has_it(node)) != []


def reads_jobs(text: str) -> list[Problem]:
    try:
        read_jobs(text.encode(), "f.yaml")
    except Unreadable as error:
        return list(error.problems)
    return []


def reads_stock(text: str) -> list[Problem]:
    try:
        read_stock(text.encode(), "f.yaml")
    except Unreadable as error:
        return list(error.problems)
    return []


LISTS: list[tuple[str, Reader, str, bool]] = [
    ("jobs", reads_jobs, "- {reference: HV-1, work: trouble-opening, sheath: {A: lead, B: polyethylene}}\n", True),
    ("jobs", reads_jobs, "HV-1: {work: trouble-opening, special: [long-repair]}\nHV-2: {wo: x}\n", True),
    ("jobs", reads_jobs, "- {work: trouble-opening}\n", False),
    ("jobs", reads_jobs, "- HV-1\n", False),
    ("jobs", reads_jobs, "HV-1: lead\n", False),
    ("jobs", reads_jobs, "HV-1\n", False),
    ("jobs", reads_jobs, "- {reference: HV-1, sheath: {A: [lead]}}\n", False),
    ("stock-list", reads_stock, "- {size: S-1, slips-over: 3 in, shrinks-to: 1 in, length: 40 in}\n", True),
    ("stock-list", reads_stock, "stock: [[S-1, 3 in, 1 in, 40 in]]\n", True),
    ("stock-list", reads_stock, "- {size: S-1, slips-over: 3 in, length: 40 in}\n", False),
    ("stock-list", reads_stock, "- [S-1, 3 in, 1 in]\n", False),
    ("stock-list", reads_stock, "sizes: [[S-1, 3 in, 1 in, 40 in]]\n", False),
    ("stock-list", reads_stock, "[]\n", False),
]  # fmt: skip


@pytest.mark.parametrize(("name", "reads", "text", "good"), LISTS)
def test_jobs_and_stock_lists_fit_where_they_are_read(name: str, reads: Reader, text: str, good: bool) -> None:
    node = load(text, "f", [])
    assert node is not None
    assert (reads(text) == [], said(name, as_an_editor_has_it(node)) == []) == (good, good)


def corpus() -> Iterator[tuple[str, Reader, Path]]:
    """The files that other tests read, with the reader of their format."""
    tests = ROOT / "tests"
    variants = sorted((tests / "rulebook" / "variants").rglob("*.yaml"))
    others = {path for path in tests.rglob("*.y*ml") if path.name != "plan-as-typed.yaml"} - set(variants)
    for path in [*sorted(others), *variants[::8]]:
        text = path.read_text(encoding="utf-8")
        if text.startswith("procedure:") or "\nprocedure:" in text:
            yield "procedure", procedure, path
        elif "based-on:" in text:
            yield "house-rules", house, path
        elif "\ncolumns:" in text or text.startswith(("contractor:", "columns:")):
            yield "columns", columns, path
    yield "procedure", procedure, tests / "cli" / "data" / "plan-as-typed.yaml"
    yield "house-rules", house, tests / "proof" / "data" / "house-as-typed.yaml"
    yield "house-rules", house, ROOT / "cli" / "ringcut_cli" / "demo" / "district" / "house.yaml"


def test_files_of_other_tests_fit_where_their_reader_takes_them() -> None:
    """And where it does not, for the shape, the schema refuses them too."""
    seen: Counter[str] = Counter()
    for name, reads, path in corpus():
        told: list[Problem] = []
        node = load(path.read_bytes(), path.name, told)
        if node is None or told:
            continue
        taken = reads(path.read_text(encoding="utf-8")) == []
        assert (said(name, as_an_editor_has_it(node)) == []) == taken, (path, said(name, as_an_editor_has_it(node)))
        seen[name] += 1
    assert seen["procedure"] > 20 and seen["house-rules"] >= 3 and seen["columns"] >= 3, seen


WHOLE = ("2.0", "10.0")
"""Editions that JSON Schema takes for whole numbers."""


@pytest.mark.parametrize("kind", sorted({kind for kind, _ in SEEDS}))
def test_broken_rulebooks_are_refused_for_their_shape_where_the_reader_refuses_them(kind: str) -> None:
    for _, seed in (each for each in SEEDS if each[0] == kind):
        told: list[Problem] = []
        node = load(seed.text, "f", told)
        if node is None or told or seed.name.endswith(WHOLE):
            continue
        refused = house(seed.text)
        against = said("house-rules", as_an_editor_has_it(node))
        assert bool(refused) == bool(against), (seed.name, refused, against)


def test_an_edition_that_is_a_number_is_refused() -> None:
    """As an editor has it: 1.10 is the number 1.1, and "1.10" a text."""
    head = {"rulebook": "x", "based-on": "base-practice", "in-force-from": "2026-03-01"}
    assert said("house-rules", {**head, "edition": 1.1}) != []
    assert said("house-rules", {**head, "edition": "1.10"}) == said("house-rules", {**head, "edition": 3}) == []


def offered(schema: Any, name: str) -> set[str]:
    """Every name that a schema offers under a key or definition."""
    found: set[str] = set()
    if isinstance(schema, dict):
        for key, value in schema.items():
            if key == name:
                found |= _enumerated(value)
            found |= offered(value, name)
    for each in schema if isinstance(schema, list) else ():
        found |= offered(each, name)
    return found


def _enumerated(schema: Any) -> set[str]:
    if isinstance(schema, dict):
        own = set(schema["enum"]) if isinstance(schema.get("enum"), list) else set()
        return own.union(*map(_enumerated, schema.values()))
    return set().union(*map(_enumerated, schema)) if isinstance(schema, list) else set()


def test_the_names_of_the_rulebook_are_offered(book: Rulebook) -> None:
    plan, rules = json.loads(FILES["procedure.json"]), json.loads(FILES["rules.json"])
    assert set(book.steps) <= offered(plan, "step-name")
    assert {"lead", "polyethylene"} <= offered(plan, "sheath")
    assert set(book.conditions) <= offered(rules, "condition-name")
    assert {"any open-flame", "start"} <= offered(rules, "steps-of-a-rule")
    changes = json.loads(FILES["house-rules.json"])["$defs"]["Change"]
    assert {rule.id for rule in book.rules} <= offered(changes["properties"], "rule")
    (bond,) = [
        each["then"] for each in changes["allOf"] if each["if"]["properties"]["rule"]["const"] == "adhesive-bond-length"
    ]
    assert "5 in" in bond["properties"]["shortest"]["description"]


CLOSED = [
    ("procedure", {"procedure": "plan", "steps": ["photograph-bond", {"do": "wrap-rubber-tape", "layers": 2}]}, True),
    ("procedure", {"procedure": "plan", "job": {"sheath": "lead"}, "steps": ["photograph-bond"]}, True),
    ("procedure", {"procedure": "plan", "steps": ["photograph-bnd"]}, False),
    ("procedure", {"procedure": "plan", "steps": [{"do": "wrap-rubber-tape", "lairs": 2}]}, False),
    ("procedure", {"procedure": "plan", "job": {"sheat": "lead"}, "steps": ["photograph-bond"]}, False),
    ("concessions", {"concessions": [{"job": "a", "rule": "northfield-photo-of-bond", "reason": "c", "side": "A",
                     "approved-by": "R. X", "granted": "2026-01-01", "expires": "2026-02-01"}]}, True),
    ("concessions", {"concessions": [{"job": "a", "rule": "northfield-photo-of-band", "reason": "c",
                     "approved-by": "R. X", "granted": "2026-01-01", "expires": "2026-02-01"}]}, False),
    ("jobs", {"HV-1": {"sheath": "lead"}}, True),
    ("jobs", {"HV-1": {"sheat": "lead"}}, False),
]  # fmt: skip


def test_schemas_of_a_house_know_its_names_and_refuse_others(run: Callable[..., Result], tmp_path: Path) -> None:
    house_file = ROOT / "tests" / "proof" / "data" / "northfield.yaml"
    assert run("rules", "schema", "--rulebook", house_file, "--write", tmp_path).exit_code == 0
    for name, data, good in CLOSED:
        schema = json.loads((tmp_path / f"{name}.json").read_text(encoding="utf-8"))
        errors = [error.message for error in Draft202012Validator(schema).iter_errors(data)]
        assert (errors == []) == good, (name, data, errors)
        assert (said(name, data) == []) or not good
    node = load(house_file.read_bytes(), "f", [])
    assert node is not None
    schema = json.loads((tmp_path / "house-rules.json").read_text(encoding="utf-8"))
    assert [*Draft202012Validator(schema).iter_errors(as_an_editor_has_it(node))] == []


def test_keys_have_descriptions_from_the_models() -> None:
    rules = json.loads(FILES["rules.json"])
    assert "What is required, in a sentence" in rules["$defs"]["Rule"]["properties"]["says"]["description"]
    assert rules["$defs"]["Rule"]["description"].startswith("One rule")


def test_the_command_lists_prints_and_writes(run: Callable[..., Result], tmp_path: Path) -> None:
    assert "house-rules" in run("rules", "schema").stdout.splitlines()
    assert run("rules", "schema", "procedure").stdout.encode() == FILES["procedure.json"]
    assert run("rules", "schema", "proceedure").exit_code == 2
    assert run("rules", "schema", "--write", tmp_path / "out").exit_code == 0
    assert {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()} == FILES
