"""``ringcut rules list`` and ``rules show``."""

from __future__ import annotations

import re
from collections.abc import Callable

from click.testing import Result

from ringcut_cli.exits import Exit

Run = Callable[..., Result]


def test_a_rule_is_shown_as_a_person_reads_it_with_the_formula_last(run: Run) -> None:
    shown = run("rules", "show", "Adhesive bond length").stdout
    labels = re.findall(r"^  (\w+) {2,}", shown, re.MULTILINE)
    assert shown.splitlines()[0].startswith("adhesive-bond-length")
    assert shown.splitlines()[0].endswith("major, sleeve")
    assert shown.index("The sleeve bonds to at least 5 in") < shown.index("  why ")
    assert list(dict.fromkeys(labels)) == [
        "why", "do", "basis", "value", "applies", "case", "written", "formula", "rulebook",
    ]  # fmt: skip
    assert re.search(r"shortest = 5 in; common practice; rulebook/rules/sleeve\.yaml:\d+:\d+", " ".join(shown.split()))
    assert "nonconforming when steps: [{do: assemble-sleeve, bond-length: {A: 5" in shown


def test_an_unknown_rule_is_asked_about(run: Run) -> None:
    result = run("rules", "show", "adhesive-bond-lenght")
    assert result.exit_code == Exit.BAD_INPUT
    assert "Did you mean adhesive-bond-length?" in result.stderr


def test_the_list_can_be_narrowed(run: Run) -> None:
    everything = run("rules", "list").stdout
    critical = run("rules", "list", "--class", "critical", "--subject", "pressure").stdout
    assert "adhesive-bond-length" in everything
    assert "\npressure  " in critical
    assert "\nbonding  " not in critical
    assert {line.split()[0] for line in critical.splitlines() if re.match(r"  \w", line)} == {"critical"}


def test_an_unknown_subject_names_those_there_are(run: Run) -> None:
    result = run("rules", "list", "--subject", "bondin")
    assert result.exit_code == Exit.BAD_INPUT
    assert "Did you mean bonding?" in result.stderr


def test_help_of_the_group_lists_its_commands_without_importing_one(run: Run) -> None:
    shown = run("rules", "--help").stdout
    assert "list" in shown
    assert "Show a rule as a person reads it." in shown


def test_a_schema_is_asked_for_by_the_name_that_is_listed(run: Run) -> None:
    """Symptom: the list had «house-rules», and who mistyped it was offered «house-rules.json»."""
    names = run("rules", "schema").stdout.split()
    wrong = run("rules", "schema", "nosuch")
    assert wrong.exit_code == Exit.BAD_INPUT
    assert f"There are: {', '.join(names)}." in " ".join(wrong.stderr.split())
    assert "Did you mean house-rules?" in run("rules", "schema", "hous-rules").stderr
    assert run("rules", "schema", "House Rules.json").stdout == run("rules", "schema", "house-rules").stdout != ""
