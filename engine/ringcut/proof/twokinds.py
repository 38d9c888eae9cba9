"""Values that are used as two kinds of measure, each use right by itself: one number cannot mean both."""

from __future__ import annotations

from ringcut.language.expressions import Scope, typed
from ringcut.language.ruletext import RuleText
from ringcut.language.sources import Sources
from ringcut.language.vocabulary import Words, read_vocabulary
from ringcut.proof.told import Remark
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Problem
from ringcut.reading.suggest import canonical

TIMES = ("within", "every")


def two_kinds(sources: Sources) -> list[Remark]:
    """A remark for each value with two kinds in its rule, or across the vocabulary."""
    tables = {table.table: table for table in sources.tables}
    words = read_vocabulary(sources.vocabulary, tables, [])
    shared: dict[str, str] = {}
    found: list[Remark] = []
    for _, rule in sources.rules:
        if rule.values or words.values:
            found += _of_rule(rule, words, shared)
    return found


def _of_rule(rule: RuleText, words: Words, shared: dict[str, str]) -> list[Remark]:
    own = {name: value.value.text for name, value in rule.values.items()}
    used = dict(shared)
    problems: list[Problem] = []
    for key in ("when", "need", "keep", "while_", "limit", "unclear", *TIMES):
        phrase = getattr(rule, key)
        if not isinstance(phrase, Phrase):
            continue
        if key in TIMES:
            _as_time(phrase, used, own, problems)
            continue
        scope: Scope = words.scope(own, facts_only=key == "when", conditions=key not in ("limit", "unclear"))
        scope.used = used
        typed(phrase, scope, problems)
    for phrase in (rule.elapsed.at_least, rule.elapsed.at_most) if rule.elapsed else ():
        if phrase is not None:
            _as_time(phrase, used, own, problems)
    shared |= {name: kind for name, kind in used.items() if name not in own}
    told = [problem for problem in problems if " is used as " in problem.found]
    instead = "Write two values, each with a name of its own."
    return [Remark(each.place, "two-kinds", f"{each.found}.", instead, rules=(rule.rule.text,)) for each in told]


def _as_time(phrase: Phrase, used: dict[str, str], own: dict[str, str], problems: list[Problem]) -> None:
    name = canonical(phrase.text)
    if name in own and used.setdefault(name, "time") != "time":
        problems.append(Problem(phrase.place, f"{name} is used as a {used[name].replace('-', ' ')} and as a time"))
