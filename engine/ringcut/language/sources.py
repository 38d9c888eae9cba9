"""The texts of a rulebook, read from its folder, before they mean anything.

``Sources`` is what layers work on: a house rulebook changes texts and values, then everything is compiled once.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path

import msgspec

from ringcut.language.ruletext import RulebookText, RulesFile, RuleText, TableText, WarningsFile
from ringcut.language.words import Basis, Guard, ValueText, VocabularyText
from ringcut.reading.decode import decode
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut.reading.suggest import canonical
from ringcut.reading.yamltext import Map, Node, Scalar, load

KINDS_OF_BASIS = ("house", "standard", "regulation")


class Sources(msgspec.Struct):
    """All texts of one rulebook. ``rules`` pairs each rule with its subject, in the order in which they are told."""

    title: RulebookText
    vocabulary: VocabularyText
    rules: list[tuple[str, RuleText]]
    tables: list[TableText]
    warnings: WarningsFile
    digest: str
    layers: tuple[str, ...] = ()
    origins: dict[str, str] = {}
    """Rule id, or ``rule.value`` and its place: the rulebook that set it, where it is not the first layer."""
    places: dict[str, Place] = {}


def rulebook_files(folder: Path) -> dict[str, bytes]:
    """Every file of a rulebook folder that says what must be true, by its name in the folder, in their order."""
    paths = sorted(path for path in folder.rglob("*.yaml") if "procedures" not in path.parts[len(folder.parts) :])
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in paths}


def digest_of(files: dict[str, bytes]) -> str:
    """SHA-256 over the names and bytes of a rulebook's files, hexadecimal; nothing is parsed."""
    digest = hashlib.sha256()
    for name, data in files.items():
        digest.update(f"{name}\0{len(data)}\0".encode() + data)
    return digest.hexdigest()


def read_sources(folder: Path) -> Sources:
    """Read the folder of a rulebook; :class:`Unreadable` with every problem of every file."""
    problems: list[Problem] = []
    files = rulebook_files(folder)
    title: RulebookText | None = None
    vocabulary = VocabularyText()
    rules: list[tuple[str, RuleText]] = []
    tables: list[TableText] = []
    warnings = WarningsFile(warnings=(), ends_with="")
    for name, data in files.items():
        node = load(data, f"{folder.name}/{name}", problems)
        if node is None:
            continue
        if name == "rulebook.yaml":
            title = decode(node, RulebookText, problems, HOOKS)
        elif name == "warnings.yaml":
            warnings = decode(node, WarningsFile, problems, HOOKS) or warnings
        elif name.startswith("vocabulary/"):
            vocabulary = merged(vocabulary, decode(node, VocabularyText, problems, HOOKS), problems)
        elif name.startswith("rules/"):
            file = decode(node, RulesFile, problems, HOOKS)
            rules += [(rule.subject or file.subject, rule) for rule in file.rules] if file else []
        elif name.startswith("tables/"):
            table = decode(node, TableText, problems, HOOKS)
            tables += [_as_headed(table)] if table else []
    if title is None and not problems:
        problems.append(Problem(Place(str(folder)), "no rulebook.yaml", "a rulebook's title page"))
    if problems or title is None:
        raise Unreadable(problems)
    return Sources(title, vocabulary, rules, tables, warnings, digest_of(files), layers=(title.rulebook,))


def _as_headed(table: TableText) -> TableText:
    """Kinds and units by the words that head the columns: keys are read in kebab-case, a column ``A`` is not."""
    heads = {canonical(column): column for column in table.columns}
    kinds = {heads.get(key, key): kind for key, kind in table.kinds.items()}
    units = {heads.get(key, key): unit for key, unit in table.units.items()}
    return msgspec.structs.replace(table, kinds=kinds, units=units)


def merged(one: VocabularyText, two: VocabularyText | None, problems: list[Problem]) -> VocabularyText:
    """Two vocabularies as one; a word defined twice is a problem at its second place, and the first holds."""
    if two is None:
        return one
    changes: dict[str, object] = {}
    for section in ("facts", "conditions", "steps", "quantities", "values"):
        first, second = getattr(one, section), getattr(two, section)
        for name in first.keys() & second.keys():
            problems.append(Problem(second[name].place, f"{name} is defined twice", f"first at {first[name].place}"))
        changes[section] = {**first, **{name: word for name, word in second.items() if name not in first}}
    changes["impossible"] = (*one.impossible, *two.impossible)
    changes["sides"] = two.sides or one.sides
    return msgspec.structs.replace(one, **changes)


def read_basis(node: Node, problems: list[Problem]) -> Basis | None:
    """``common practice``, ``geometry``, or a mapping with house, standard or regulation (and binds)."""
    if isinstance(node, Scalar):
        words = node.text.strip().lower().replace("-", " ")
        if words in ("common practice", "geometry"):
            return Basis(common_practice=words == "common practice", geometry=words == "geometry")
        problems.append(_no_basis(node))
        return None
    known = {"house", "standard", "regulation", "binds"}
    if not isinstance(node, Map):
        problems.append(_no_basis(node))
        return None
    given = {key.text: value for key, value in node.entries}
    texts = {key: value.text for key, value in given.items() if isinstance(value, Scalar) and value.text}
    if set(given) - known or len(set(texts) & set(KINDS_OF_BASIS)) != 1 or len(texts) != len(given):
        problems.append(_no_basis(node))
        return None
    return msgspec.convert(texts, Basis)


def _no_basis(node: Node) -> Problem:
    said = node.text if isinstance(node, Scalar) else "this"
    hint = '{house: "..."}: who decided it, and where is it written?' if said == "house" else ""
    expected = "common practice, geometry, {house: ...}, {standard: ...} or {regulation: ..., binds: ...}"
    return Problem(node.place, f"basis: {said}", expected, hint)


def read_value(node: Node, problems: list[Problem]) -> ValueText | None:
    """A bare value, or a mapping ``{value, basis, bound}``."""
    if isinstance(node, Scalar):
        return ValueText(Phrase(node.text, node.place, node.plain), place=node.place)
    if isinstance(node, Map):
        hooks = {kind: hook for kind, hook in HOOKS.items() if kind is not ValueText}
        return decode(node, ValueText, problems, hooks)
    problems.append(Problem(node.place, "a list", "a value, or {value: ..., basis: ...}"))
    return None


def read_guard(node: Node, problems: list[Problem]) -> Guard | None:
    """A bare expression, or a mapping ``{where, to}``."""
    if isinstance(node, Scalar):
        return Guard(Phrase(node.text, node.place, node.plain))
    hooks = {kind: hook for kind, hook in HOOKS.items() if kind is not Guard}
    return decode(node, Guard, problems, hooks)


HOOKS: dict[type, Callable[[Node, list[Problem]], object]] = {
    Basis: read_basis,
    ValueText: read_value,
    Guard: read_guard,
}
"""The short spellings that the decoder cannot know."""
