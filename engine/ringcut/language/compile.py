"""From texts to a rulebook in force: names resolved, dimensions checked, rules in their typed form.

Everything that does not fit is told at once, each at its place; a rulebook with a problem is not used at all.
"""

from __future__ import annotations

from fractions import Fraction

from ringcut.language import ir
from ringcut.language import nodes as n
from ringcut.language.compilerule import RuleCompiler
from ringcut.language.expressions import Scope, typed, typed_number
from ringcut.language.ruletext import RuleText, TableText
from ringcut.language.sources import Sources
from ringcut.language.vocabulary import Words, read_vocabulary
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Problem, Unreadable
from ringcut.reading.suggest import near


def compile_rulebook(sources: Sources) -> ir.Rulebook:
    """Compile; :class:`Unreadable` with every problem."""
    problems: list[Problem] = []
    book = compile_partly(sources, problems)
    if problems:
        raise Unreadable(problems)
    return book


def compile_partly(sources: Sources, problems: list[Problem]) -> ir.Rulebook:
    """Compile what can be compiled; what cannot is told in ``problems`` and left out. For proofreading only."""
    tables = {table.table: table for table in sources.tables}
    for table in sources.tables:
        _check_table(table, problems)
    words = read_vocabulary(sources.vocabulary, tables, problems)
    title = sources.title
    rules: list[ir.Rule] = []
    seen: dict[str, RuleText] = {}
    for subject, text in sources.rules:
        if text.rule.text in seen and seen[text.rule.text].rule.place != text.rule.place:
            first = seen[text.rule.text].rule.place
            problems.append(Problem(text.rule.place, f"rule {text.rule.text} is defined twice", f"first at {first}"))
        seen[text.rule.text] = text
        if subject not in title.subjects:
            close = near(subject, title.subjects)
            hint = f"did you mean {close}?" if close else "add it to subjects in rulebook.yaml"
            problems.append(Problem(text.rule.place, f"no subject {subject}", hint=hint))
        rule = RuleCompiler(text, subject, words, sources, problems).rule()
        if rule is not None:
            rules.append(rule)
    for rule in rules:
        for other in rule.follows_from:
            if other not in seen:
                close = near(other, seen)
                hint = f"did you mean {close}?" if close else ""
                problems.append(Problem(rule.place, f"follows-from: no rule {other}", hint=hint))
    facts = Scope(words.facts, tables=tables)

    def when(phrase: Phrase | None) -> n.Node | None:
        return typed(phrase, facts, problems) if phrase else None

    _check_covers(title.covers, words, problems)
    for gap in title.not_covered:
        if gap.differs and gap.differs not in words.facts:
            close = near(gap.differs, words.facts)
            hint = f"did you mean {close}?" if close else ""
            problems.append(Problem(gap.when.place, f"not-covered, differs: no fact {gap.differs}", hint=hint))
    return ir.Rulebook(
        name=title.rulebook,
        edition=title.edition,
        in_force_from=title.in_force_from,
        digest=sources.digest,
        facts=words.facts,
        conditions=words.conditions,
        steps=words.steps,
        synonyms=words.synonyms,
        rules=tuple(rules),
        tables=tables,
        subjects={name: ir.Subject(text.says, when(text.applies)) for name, text in title.subjects.items()},
        impossible=tuple(
            ir.Impossible(node, text.reason) for text in sources.vocabulary.impossible if (node := when(text.when))
        ),
        covers=title.covers,
        gaps=tuple(ir.Gap(node, text.says, text.differs) for text in title.not_covered if (node := when(text.when))),
        warnings=tuple(ir.Caution(text.signal, text.says, when(text.when)) for text in sources.warnings.warnings),
        ends_with=sources.warnings.ends_with,
        sides=words.sides,
        values=words.values,
        jurisdiction=title.jurisdiction,
        decision_level=Fraction(title.decision_level.replace("%", "").strip()) / 100,
        prefer=_prefer(title.prefer, words, problems),
        quantities={name: words.quantity(name)[0] for name in words.quantities},
        layers=sources.layers,
        shared=words.shared,
    )


def _prefer(phrase: Phrase | None, words: Words, problems: list[Problem]) -> n.Node | None:
    if phrase is None:
        return None
    found = typed_number(phrase, words.scope(), problems)
    return found[0] if found else None


def _check_covers(covers: dict[str, tuple[str, ...]], words: Words, problems: list[Problem]) -> None:
    for name, choices in covers.items():
        known = words.facts[name].choices if name in words.facts else ()
        for choice in choices:
            if choice not in known:
                problems.append(Problem(words.place, f"covers: {name} is never {choice}", ", ".join(known)))


def _check_table(table: TableText, problems: list[Problem]) -> None:
    for row in table.rows:
        if len(row) != len(table.columns):
            problems.append(
                Problem(
                    row[0].place if row else table.place,
                    f"a row of {table.table} has {len(row)} cells",
                    f"{len(table.columns)}: {', '.join(table.columns)}",
                )
            )
        for cell, column in zip(row, table.columns, strict=False):
            if (table.kind_of(column) or column in ("from", "to")) and cell.text and not _is_number(cell.text):
                problems.append(Problem(cell.place, f"{cell.text} in column {column} of {table.table}", "a number"))


def _is_number(text: str) -> bool:
    try:
        Fraction(text)
    except (ValueError, ZeroDivisionError):
        return False
    return True
