"""A small rulebook of invented practice, clean by itself, and house files laid on it: for the tests of this folder."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from ringcut.language.compile import compile_rulebook
from ringcut.language.ir import Rulebook
from ringcut.language.sources import read_sources
from ringcut.proof.proofread import Proof, proofread

TITLE = """\
rulebook: base-practice
edition: "1"
in-force-from: 2000-01-01
jurisdiction: [29 CFR 1910]
covers: {work: [opening, covering]}
subjects: {all: {says: everything}}
"""

VOCABULARY = """\
facts:
  work: {choices: [opening, covering], says: the kind of work}
  sheath: {choices: [lead, plastic], says: the sheath}
  place: {choices: [pole, hole, hall], says: where}
  wet: {kind: yes-no, says: water}
  depth: {kind: length, unit: ft, possible: [0 ft, 30 ft], says: how deep}
  month: {choices: [spring, autumn], says: the season}
conditions:
  bare: {says: the cable is open}
  aired: {says: the blower runs}
  air-good: {says: the last reading was good}
  warm: {says: it is hot}
  bridged: {says: a bridge is on}
  tested: {says: it was looked at}
  dry: {at-start: not wet, says: no water}
values:
  gas-limit: {value: 10 %LFL, basis: {house: invented}}
steps:
  cut: {says: cut the cable open, makes: [bare]}
  cover: {says: cover it, ends: [bare], readings: {bond: {kind: length, unit: in, resolution: 1/8 in,
    possible: [0 in, 40 in], known: planned, says: bond length}, layers: {kind: count, known: planned, says: layers}}}
  scrape: {says: scrape it, readings: {bared: {kind: length, unit: in, resolution: 1/8 in, possible: [0 in, 40 in],
    known: planned, says: how much}, lap: {kind: turn, unit: deg, known: planned, says: how far around}}}
  bridge: {says: put a bridge on, makes: [bridged]}
  unbridge: {says: take the bridge off, ends: [bridged]}
  heat: {says: heat it, again: another, makes: [warm], readings: {lasted: {kind: time, unit: min, says: how long}}}
  cool: {says: let it cool, ends: [warm], readings: {surface: {kind: temperature, unit: degF, says: how warm}}}
  air: {says: start the blower, again: another, makes: [aired]}
  stop-air: {says: stop the blower, again: another, ends: [aired]}
  sniff: {says: test the air, again: another, sets: {air-good: gas <= gas-limit},
    readings: {gas: {kind: lfl, unit: "%LFL", resolution: 1 %LFL, possible: [0 %LFL, 100 %LFL], says: gas}}}
  pump: {says: pump the water out, makes: [dry]}
  look: {says: look at it, makes: [tested], readings: {good: {kind: yes-no, says: whether it is good}}}
impossible:
  - {when: place is pole and wet, reason: no water up there}
"""

RULES = """\
subject: all
rules:
  - rule: bond-long-enough
    says: The bond is at least {shortest} long.
    class: major
    values: {shortest: {value: 5 in, basis: common practice}}
    limit: cover.bond >= shortest
    reason: it leaks else
    remedy: make it longer
    basis: common practice
    cases:
      - {steps: [{do: cover, bond: 5 in}], verdict: conforms}
      - {steps: [{do: cover, bond: 4-7/8 in}], verdict: nonconforming}
  - rule: bared-enough
    says: At least {least} is scraped.
    class: major
    when: sheath is lead
    values: {least: {value: 6 in, basis: common practice}}
    limit: scrape.bared >= least
    reason: it does not stick else
    remedy: scrape more
    basis: common practice
    cases:
      - {steps: [{do: scrape, bared: 6 in}], verdict: conforms}
      - {steps: [{do: scrape, bared: 5-7/8 in}], verdict: nonconforming}
  - rule: air-before-heat
    says: The air is good before each flame.
    class: critical
    when: place is hole
    need: air-good
    before: heat
    reason: it burns
    remedy: stay out
    basis: {regulation: 29 CFR 1910.268, binds: invented}
    cases:
      - {log: [{do: sniff, gas: 10 %LFL}, heat], verdict: conforms}
      - {log: [{do: sniff, gas: 11 %LFL}, heat], verdict: nonconforming}
  - rule: sniffed-in-time
    says: The air was tested at most {wait} before each flame.
    class: critical
    when: place is hole
    values: {wait: {value: 10 min, basis: {house: invented}}}
    elapsed: {from: sniff, to: heat, at-most: wait}
    reason: air changes
    remedy: test again
    basis: {regulation: 29 CFR 1910.268, binds: invented}
    cases:
      - {log: [{do: sniff, at: "10:00"}, {do: heat, started: "10:10", at: "10:20"}], verdict: conforms}
      - {log: [{do: sniff, at: "10:00"}, {do: heat, started: "10:11", at: "10:20"}], verdict: nonconforming}
  - rule: dry-before-cut
    says: Water is out before the cut.
    class: critical
    judge: every
    values: {level: {value: 3 in, basis: {regulation: 29 CFR 1910.146, binds: invented}, bound: 3 in}}
    need: dry
    before: cut
    reason: it gets wet
    remedy: pump
    basis: {regulation: 29 CFR 1910.146, binds: invented}
    cases:
      - {job: {wet: no}, steps: [cut], verdict: conforms}
      - {job: {wet: yes}, steps: [cut], verdict: nonconforming}
  - rule: hold-long-enough
    says: It is heated for at least {hold}.
    class: minor
    values: {hold: {value: 2 min, basis: {regulation: 29 CFR 1910.146, binds: invented}, bound: 2 min}}
    limit: heat.lasted >= hold
    reason: it stays cold
    remedy: go on
    basis: {regulation: 29 CFR 1910.146, binds: invented}
    cases:
      - {log: [{do: heat, lasted: 2 min}], verdict: conforms}
      - {log: [{do: heat, lasted: 1 min}], verdict: nonconforming}
  - rule: covered
    says: It is covered in the end.
    class: major
    include: cover
    reason: it leaks
    remedy: cover it
    basis: common practice
    cases:
      - {steps: [cover], verdict: conforms}
      - {steps: [cut], verdict: nonconforming}
  - rule: looked-at
    says: It is looked at before anybody leaves.
    class: minor
    need: tested
    before: end
    reason: nobody sees it later
    remedy: look
    basis: common practice
    cases:
      - {steps: [look], verdict: conforms}
      - {steps: [cut], verdict: nonconforming}
"""
IDS = ["bond-long-enough", "bared-enough", "air-before-heat", "sniffed-in-time", "dry-before-cut", "hold-long-enough",
       "covered", "looked-at", "old-rule: withdrawn"]  # fmt: skip


@pytest.fixture(scope="session")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the small rulebook."""
    folder = tmp_path_factory.mktemp("small") / "base-practice"
    write_book(folder, RULES, IDS)
    return folder


def write_book(folder: Path, rules: str, ids: list[str]) -> None:
    (folder / "vocabulary").mkdir(parents=True)
    (folder / "rules").mkdir()
    (folder / "rulebook.yaml").write_text(TITLE, encoding="utf-8")
    (folder / "vocabulary" / "words.yaml").write_text(VOCABULARY, encoding="utf-8")
    (folder / "rules" / "all.yaml").write_text(rules, encoding="utf-8")
    (folder / "rules" / "ids.txt").write_text("\n".join(ids) + "\n", encoding="utf-8")


@pytest.fixture(scope="session")
def proved(base: Path, tmp_path_factory: pytest.TempPathFactory) -> Callable[[str, str | None], Proof]:
    """Proofread the text of a house file on the small rulebook, with the text of its list of ids if there is one."""

    def proved(text: str, ids: str | None = None) -> Proof:
        file = tmp_path_factory.mktemp("house") / "house.yaml"
        file.write_text(text, encoding="utf-8")
        if ids is not None:
            file.with_suffix(".ids.txt").write_text(ids, encoding="utf-8")
        return proofread(file, base, "2026-06-01")

    return proved


@pytest.fixture(scope="session")
def with_rules(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Rulebook]:
    """The small vocabulary with other rules, compiled."""

    def with_rules(rules: str) -> Rulebook:
        folder = tmp_path_factory.mktemp("rules") / "book"
        write_book(folder, f"subject: all\nrules:\n{rules}\n", [])
        return compile_rulebook(read_sources(folder))

    return with_rules
