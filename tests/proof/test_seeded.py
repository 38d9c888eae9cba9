"""Seeded defects: house rulebooks, each with one mistake of a known kind, at a known line; all must be found there.

The files are made by combining each kind of mistake with the words and numbers of the small rulebook. Invented.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import product
from typing import NamedTuple

import pytest

from ringcut.proof.proofread import Proof

HERE = "<HERE>"
HEAD = """\
rulebook: north
edition: "1"
based-on: base-practice
in-force-from: 2026-03-01
may-approve: {critical: [R. Example], major: [R. Example, S. Example], minor: [S. Example]}
"""
LENGTHS = ("cover.bond", "scrape.bared")
STEPS = ("cut", "scrape", "bridge", "unbridge", "pump", "look")
READINGS = {"cover.bond": ("cover", "bond"), "scrape.bared": ("scrape", "bared")}


class Seed(NamedTuple):
    """A house file with one mistake in the line marked :data:`HERE`; ``kind`` of a remark, or empty for a problem."""

    name: str
    text: str
    kind: str = ""
    words: str = ""
    ids: str | None = None


def rule(name: str = "north-one", form: str = "limit: cover.bond >= 5 in", **keys: str) -> str:
    """A rule in YAML; ``keys`` replace the usual ones, an empty one takes its line away."""
    told = {
        "says": "This is asked.", "class": "minor", "form": form, "reason": "it helps", "remedy": "do it",
        "basis": "{house: invented letter}", "cases": GOOD,
    } | {key.replace("_", "-"): value for key, value in keys.items()}  # fmt: skip
    lines = [f"  - rule: {name}"]
    for key, value in told.items():
        if key == "form":
            lines += [f"    {line}" for line in value.splitlines()]
        elif value:
            lines.append(f"    {key}: {value}")
    return "\n".join(lines) + "\n"


GOOD = (
    "[{steps: [{do: cover, bond: 5 in}], verdict: conforms}, "
    "{steps: [{do: cover, bond: 4 in}], verdict: nonconforming}]"
)
BOTH = "[{steps: [look], verdict: conforms}, {steps: [cut], verdict: nonconforming}]"


def house(*rules: str, change: tuple[str, ...] = ()) -> str:
    """A house file."""
    text = HEAD
    if change:
        text += "change:\n" + "".join(f"  - {each}\n" for each in change)
    return text + ("rules:\n" + "".join(rules) if rules else "")


def swallowed() -> Iterator[Seed]:
    """What YAML takes for something else."""
    for words in ("Bond: 5 in", "Air: good", "Lead: clean", "Hold: 2 min", "Water: out", "Cover: on"):
        yield Seed(f"colon in {words}", house(rule(says=f"{words} is needed {HERE}")))
    for words in ("cold, wind", "wet, deep", "one, two", "old, thin", "near, far"):
        yield Seed(
            f"comma in {words}",
            house(change=(f"{{rule: bond-long-enough, shortest: 6 in, reason: {words}}} # {HERE}",)),
        )
    for edition in ("1.10", "2.0", "3.50", "10.0"):
        yield Seed(f"edition {edition}", HEAD.replace('"1"', f"{edition} # {HERE}"))


def heads() -> Iterator[Seed]:
    """A head that does not say what it should."""
    for day in ("3/1/2026", "2026-3-1", "1 March 2026", "01.03.2026", "2026/03/01", "soon"):
        yield Seed(f"day {day}", HEAD.replace("2026-03-01", f"{day} # {HERE}"))
    for name in ("base-practise", "basis", "south", "base"):
        yield Seed(f"based on {name}", HEAD.replace("base-practice", f"{name} # {HERE}"))
    for until in ("6/30/27", "2027-06-30", "next year"):
        yield Seed(
            f"until {until}", house(change=(f"{{rule: bond-long-enough, shortest: 6 in, until: {until}}} # {HERE}",))
        )
    for expires in ("6/30/27", "30.6.2027", "never"):
        yield Seed(
            f"expires {expires}",
            house(change=(f"{{rule: bond-long-enough, shortest: 6 in, expires: {expires}}} # {HERE}",)),
        )


def names() -> Iterator[Seed]:
    """Names that nothing has."""
    for name, meant in (("bond-long-enuf", "bond-long-enough"), ("bared-enought", "bared-enough"),
                        ("lookd-at", "looked-at"),
                        ("air-befor-heat", "air-before-heat"), ("covred", "covered")):  # fmt: skip
        yield Seed(f"rule {name}", house(change=(f"{{rule: {name}, class: critical}} # {HERE}",)), words=meant)
    for name, value in (("bond-long-enough", "shortst"), ("bared-enough", "leest"), ("sniffed-in-time", "wiat")):
        yield Seed(f"value {value}", house(change=(f"{{rule: {name}, {value}: 9 in}} # {HERE}",)), words="did you mean")
    for step, near in (
        ("covr", "cover"),
        ("scrap", "scrape"),
        ("brigde", "bridge"),
        ("unbrige", "unbridge"),
        ("puump", "pump"),
    ):
        yield Seed(f"step {step}", house(rule(form=f"need: tested\nbefore: {step} # {HERE}", cases=BOTH)), words=near)
        yield Seed(f"order {step}", house(rule(form=f"order: [look, {step}] # {HERE}", cases=BOTH)), words=near)
        yield Seed(f"include {step}", house(rule(form=f"include: {step} # {HERE}", cases=BOTH)), words=near)
    for reading in ("cover.bnd", "cover.bonds", "scrape.bare", "heat.lastd", "covr.bond"):
        yield Seed(f"reading {reading}", house(rule(form=f"limit: {reading} >= 5 in # {HERE}")))
    for condition in ("testd", "brdged", "air-goood", "wram", "drry"):
        yield Seed(f"condition {condition}", house(rule(form=f"need: {condition} # {HERE}\nbefore: cut", cases=BOTH)))
    for word in ("led", "plastik", "leaden"):
        yield Seed(f"choice {word}", house(rule(when=f"sheath is {word} # {HERE}")))
    for fact in ("sheeth", "plaice", "dept", "weet"):
        yield Seed(f"fact {fact}", house(rule(when=f"{fact} is lead # {HERE}")))
    yield Seed("subject", house(rule(f"north-one # {HERE}", subject="everything")))
    for other in ("bond-long-enuf", "nothing"):
        yield Seed(f"follows {other}", house(rule(f"north-one # {HERE}", follows_from=f"[{other}]")))
    for grade in ("grave", "high", "1", "criticall"):
        yield Seed(f"class {grade}", house(rule(**{"class": f"{grade} # {HERE}"})))
    for key in ("limits", "becuase", "severity", "note", "priority"):
        yield Seed(f"key {key}", house(rule() + f"    {key}: something # {HERE}\n"))


def measures() -> Iterator[Seed]:
    """Measures that do not fit."""
    for value, rule_value in product(
        ("6", "6 min", "6 psi", "20 degF", "6,5 in"), ("bond-long-enough, shortest", "bared-enough, least")
    ):
        name, key = rule_value.split(", ")
        written = f'"{value}"' if "," in value else value
        yield Seed(f"{key} {value}", house(change=(f"{{rule: {name}, {key}: {written}}} # {HERE}",)))
    for value in ("6", "6 in", "2 psi"):
        yield Seed(f"wait {value}", house(change=(f"{{rule: sniffed-in-time, wait: {value}}} # {HERE}",)))
    for reading, bad in product(LENGTHS, ("5", "5 min", "5 psi", "90 deg", "10 %LFL", "6 AWG")):
        yield Seed(f"{reading} {bad}", house(rule(form=f"limit: {reading} >= {bad} # {HERE}")))
    for reading, other in product(LENGTHS, ("scrape.lap", "heat.lasted", "sniff.gas", "cool.surface")):
        yield Seed(f"{reading} + {other}", house(rule(form=f"limit: {reading} + {other} >= 5 in # {HERE}")))
        yield Seed(f"{reading} <= {other}", house(rule(form=f"limit: {reading} <= {other} # {HERE}")))
    for fact, word in (
        ("sheath", "lead"),
        ("place", "hole"),
        ("work", "opening"),
        ("sheath", "plastic"),
        ("place", "pole"),
    ):
        yield Seed(f"{fact} = {word}", house(rule(when=f"{fact} = {word} # {HERE}")), words=f"{fact} is {word}")
    for text in ("cover.bond >= ", "cover.bond => 5 in", "cover.bond >= 5 in and", "(cover.bond >= 5 in", "cover.bond"):
        yield Seed(f"syntax {text}", house(rule(form=f"limit: {text} # {HERE}")))


def kinds() -> Iterator[Seed]:
    """Values used as two kinds, and values named like something else."""
    for value in ("80 degF", "100 degF", "25 °C"):
        form = f"values: {{warm-enough: {{value: {value}, basis: common practice}}}}\n"
        form += f"limit: cool.surface <= warm-enough\nunclear: cool.surface - cool.surface > warm-enough # {HERE}"
        yield Seed(f"two kinds {value}", house(rule(form=form, cases="")), "two-kinds")
    for name, value in (("share", "10 %"), ("part", "20 %"), ("few", "30 %")):
        form = f"values: {{{name}: {{value: {value}, basis: common practice}}}} # {HERE}\n"
        form += f"limit: cover.bond >= {name} * scrape.bared and cover.layers >= {name}"
        yield Seed(f"ratio and count {name}", house(rule(form=form)))
    for name in ("sheath", "place", "wet", "depth", "tested", "dry", "warm", "gas-limit"):
        form = f"values: {{{name}: {{value: 5 in, basis: common practice}}}} # {HERE}\nlimit: cover.bond >= 5 in"
        yield Seed(f"value named {name}", house(rule(form=form)), words="also")


def forms() -> Iterator[Seed]:
    """Forms that are none."""
    for extra in ("include: cover", "exclude: cut", "need: tested", "repeat: sniff"):
        yield Seed(f"two forms {extra}", house(rule(f"north-one # {HERE}", form=f"limit: cover.bond >= 5 in\n{extra}")))
    yield Seed("no form", house(rule(f"north-one # {HERE}", form="")))
    for companion in ("before: cut", "until: cut", "count: 2", "every: 60 min"):
        yield Seed(f"companion {companion}", house(rule(form=f"limit: cover.bond >= 5 in\n{companion} # {HERE}")))
    for basis in ("house", "the foreman", "law", "{house: }", "{regulation: x, house: y}"):
        yield Seed(f"basis {basis}", house(rule(basis=f"{basis} # {HERE}")))
    for step in ("cut", "cover", "bridge"):
        yield Seed(f"critical {step}", house(rule(f"north-one # {HERE}", form=f"need: tested\nbefore: {step}",
                                                  cases=BOTH, **{"class": "critical"})), words="judge")  # fmt: skip
    for name in ("bond-long-enough", "covered", "looked-at"):
        yield Seed(f"id twice {name}", house(rule(f"{name} # {HERE}")))


def dead() -> Iterator[Seed]:
    """Rules that never say anything."""
    nothing = ("sheath is lead and sheath is plastic", "place is pole and wet", "depth > 3 ft and depth < 2 ft",
               "wet and not wet", "not (sheath is one of [lead, plastic])", "depth > 40 ft",
               "work is opening and work is covering and wet",
               "place is hole and not (place is hole or wet)")  # fmt: skip
    for when in nothing:
        yield Seed(f"when {when}", house(rule(when=f"{when} # {HERE}")), "dead-when")
    weaker = (("limit: cover.bond >= {} in", ("4", "3", "4-1/2", "1", "2-1/4")),)
    for form, numbers in weaker:
        for number in numbers:
            case = GOOD.replace("4 in", "0 in")
            yield Seed(
                f"implied {number}", house(rule(f"north-one # {HERE}", form=form.format(number), cases=case)), "implied"
            )
    cases = "[{log: [look, cut], verdict: conforms}, {log: [cut], verdict: nonconforming}]"
    for when in ("sheath is lead", "place is hole", "wet", "depth > 4 ft"):
        yield Seed(f"implied where {when}",
                   house(rule(f"north-one # {HERE}", form="need: tested\nbefore: end", when=when, cases=cases)),
                   "implied")  # fmt: skip
    yield Seed("include again", house(rule(f"north-one # {HERE}", form="include: cover", cases=GOOD)), "implied")


def impossible() -> Iterator[Seed]:
    """Limits that nothing satisfies, and limits that nothing breaks."""
    for reading in LENGTHS:
        step, name = READINGS[reading]
        cases = f"[{{steps: [{{do: {step}, {name}: 5 in}}], verdict: nonconforming}}]"
        for text in (f"6 in <= {reading} and {reading} <= 5 in", f"{reading} > 5 in and {reading} < 5 in",
                     f"{reading} < 0 in", f"{reading} >= 50 in", f"{reading} >= 5 in and not ({reading} > 4 in)",
                     f"{reading} >= {reading} + 1 in"):  # fmt: skip
            yield Seed(f"never {text}", house(rule(form=f"limit: {text} # {HERE}", cases=cases)), "limit-never")
        for text in (f"{reading} >= 0 in", f"{reading} <= 40 in", f"{reading} >= 3 in or {reading} < 4 in",
                     f"{reading} <= {reading} + 1 in"):  # fmt: skip
            yield Seed(f"always {text}", house(rule(form=f"limit: {text} # {HERE}")), "limit-always")
    for text in ("cover.bond <= 4 in", "cover.bond < 5 in", "cover.bond + scrape.bared <= 4 in",
                 "2 * cover.bond <= 9 in",
                 "cover.bond <= 10 in - 6 in"):  # fmt: skip
        yield Seed(f"against the base {text}", house(rule(form=f"limit: {text} # {HERE}")), "limits-conflict")
    for low, high in (("9 in", "8 in"), ("12 in", "6 in"), ("30 in", "29 in")):
        yield Seed(f"two limits {low} {high}", house(
            rule("north-one", form=f"limit: scrape.bared >= {low}"),
            rule("north-two", form=f"limit: scrape.bared <= {high} # {HERE}")), "limits-conflict")  # fmt: skip


def circles() -> Iterator[Seed]:
    """Orders in a circle, steps that can never be done, work that nothing does."""
    pairs = [(one, two) for one, two in product(STEPS, STEPS) if one != two]
    for one, two in pairs[:12]:
        yield Seed(f"circle {one} {two}", house(
            rule("north-one", form=f"order: [{one}, {two}]", cases=BOTH),
            rule("north-two", form=f"order: [{two}, {one}] # {HERE}", cases=BOTH)), "order-cycle")  # fmt: skip
    for one, two, three in [("cut", "scrape", "pump"), ("bridge", "look", "cut"), ("pump", "look", "scrape"),
                            ("unbridge", "cut", "look"), ("scrape", "bridge", "pump")]:  # fmt: skip
        yield Seed(f"circle {one} {two} {three}", house(
            rule("north-one", form=f"order: [{one}, {two}]", cases=BOTH),
            rule("north-two", form=f"order: [{two}, {three}]", cases=BOTH),
            rule("north-three", form=f"order: [{three}, {one}] # {HERE}", cases=BOTH)), "order-cycle")  # fmt: skip
    for step in ("cut", "scrape", "unbridge", "pump", "look"):
        yield Seed(f"need and not {step}", house(
            rule("north-one", form=f"need: bridged\nbefore: {step}", cases=BOTH),
            rule(f"north-two # {HERE}", form=f"need: not bridged\nbefore: {step}", cases=BOTH)),
            "contradiction")  # fmt: skip
        yield Seed(f"never both {step}",
                   house(rule(f"north-one # {HERE}", form=f"need: dry and not dry\nbefore: {step}", cases=BOTH)),
                   "never-met")  # fmt: skip
    for step in ("cut", "scrape", "pump", "bridge"):
        yield Seed(f"include and exclude {step}", house(
            rule("north-one", form=f"include: {step}", cases=BOTH),
            rule(f"north-two # {HERE}", form=f"exclude: {step}", cases=BOTH)), "no-procedure")  # fmt: skip
    yield Seed(
        "exclude what the base asks for",
        house(rule(f"north-one # {HERE}", form="exclude: cover", cases=BOTH)),
        "no-procedure",
    )
    yield Seed("nothing before cover", house(
        rule("north-one", form="order: [scrape, cover]", cases=BOTH),
        rule(f"north-two # {HERE}", form="exclude: scrape", cases=BOTH)), "no-procedure")  # fmt: skip


def cases() -> Iterator[Seed]:
    """Rules whose cases do not show them, and cases that come out otherwise."""
    one = "[{steps: [{do: cover, bond: 9 in}], verdict: conforms}]"
    other = "[{steps: [{do: cover, bond: 2 in}], verdict: nonconforming}]"
    for told, number in product((one, other, ""), ("6 in", "7 in", "8 in")):
        yield Seed(f"one side {number} {told}", house(
            rule(f"north-one # {HERE}", form=f"limit: cover.bond >= {number}", cases=told)), "limit-cases")  # fmt: skip
    for step in ("cut", "scrape", "bridge", "pump"):
        good = f"[{{steps: [look, {step}], verdict: conforms}}]"
        yield Seed(f"no bad case {step}", house(
            rule(f"north-one # {HERE}", form=f"need: tested\nbefore: {step}", cases=good)), "no-bad-case")  # fmt: skip
    for number in ("6 in", "7 in", "9 in", "12 in"):
        yield Seed(f"wrong case {number}", house(
            rule(f"north-one # {HERE}", form=f"limit: cover.bond >= {number}", cases=GOOD)), "case-wrong")  # fmt: skip
    for text in ("{do: covr, bond: 5 in}", "{do: cover, bnd: 5 in}", "{do: cover, bond: 5}"):
        told = GOOD.replace("{do: cover, bond: 5 in}", text)
        yield Seed(f"unread case {text}", house(rule(f"north-one # {HERE}", cases=told)), "case-unread")


def meant() -> Iterator[Seed]:
    """What reads well and may not be meant."""
    told = (
        "[{log: [{do: sniff, gas: 1 %LFL}, cut], verdict: conforms}, "
        "{log: [{do: sniff, gas: 99 %LFL}, cut], verdict: nonconforming}]"
    )
    for number in ("5", "8", "20", "50", "98"):
        text = told.replace("1 %", "0 %")
        yield Seed(f"every doing {number}", house(
            rule(form=f"limit: sniff.gas <= {number} %LFL # {HERE}", cases=text)), "every-doing")  # fmt: skip
    for one, two in (
        ("bridge", "cut"),
        ("bridge", "scrape"),
        ("air", "cut"),
        ("air", "scrape"),
        ("cut", "look"),
        ("heat", "look"),
    ):
        told = f"[{{steps: [{one}, {two}], verdict: conforms}}, {{steps: [{two}], verdict: nonconforming}}]"
        yield Seed(
            f"undone {one} {two}", house(rule(form=f"order: [{one}, {two}] # {HERE}", cases=told)), "order-undone"
        )


def loosened() -> Iterator[Seed]:
    """Loosenings without leave."""
    for value, rest in product(("4 in", "3 in", "4-7/8 in"), ("", ", reason: stock", ", approved-by: R. Example",
                               ", reason: stock, approved-by: foreman",
                               ", reason: stock, approved-by: T. Nobody")):  # fmt: skip
        yield Seed(
            f"loosened {value}{rest}",
            house(change=(f"{{rule: bond-long-enough, shortest: {value}{rest}}} # {HERE}",)),
            "loosening",
        )
    for name in ("covered", "looked-at", "air-before-heat"):
        yield Seed(f"withdrawn {name}", house(change=(f"{{rule: {name}, withdraw: yes}} # {HERE}",)), "loosening")
    yield Seed(
        "beyond the law",
        house(change=(f"{{rule: hold-long-enough, hold: 1 min, reason: x, approved-by: S. Example}} # {HERE}",)),
        "loosening",
    )

    for value in ("11 %LFL", "20 %LFL"):
        yield Seed(
            f"gas {value}", house(change=(f"{{value: gas-limit, to: {value}, reason: x}} # {HERE}",)), "loosening"
        )


def listed() -> Iterator[Seed]:
    """Ids reused, gone or not listed. The mistake of an id that is gone stands in the list."""
    for name in ("old-rule",):
        yield Seed(f"id of the base {name}", house(rule(f"{name} # {HERE}", when="wet")), "id-reused")
    for name in ("north-one", "north-two"):
        yield Seed(
            f"withdrawn id {name}", house(rule(f"{name} # {HERE}", when="wet")), "id-reused", ids=f"{name}: withdrawn\n"
        )
        yield Seed(
            f"unlisted id {name}",
            house(rule(f"{name} # {HERE}", when="wet")),
            "id-unlisted",
            ids="north-nine: withdrawn\n",
        )
        yield Seed(
            f"gone id {name}", house(rule("north-zero", when="wet")), "id-gone", ids=f"north-zero\n{name} # {HERE}\n"
        )


KINDS = (swallowed, heads, names, measures, kinds, forms, dead, impossible, circles, cases, meant, loosened, listed)
SEEDS = [(make.__name__, seed) for make in KINDS for seed in make()]


def test_there_are_enough_and_of_every_kind() -> None:
    assert len(SEEDS) >= 300
    assert len({seed.text + (seed.ids or "") for _, seed in SEEDS}) == len(SEEDS)
    assert {kind for kind, _ in SEEDS} == {make.__name__ for make in KINDS}


def _line(seed: Seed) -> int:
    text = seed.text if HERE in seed.text else seed.ids or ""
    return next(number for number, line in enumerate(text.splitlines(), 1) if HERE in line)


@pytest.mark.parametrize("seed", [pytest.param(seed, id=f"{kind}: {seed.name}") for kind, seed in SEEDS])
def test_a_seeded_mistake_is_found_at_its_line(proved: Callable[[str, str | None], Proof], seed: Seed) -> None:
    clean = (
        seed.text.replace(f" # {HERE}", "").replace(f" {HERE}", ""),
        seed.ids.replace(f" # {HERE}", "") if seed.ids else seed.ids,
    )
    proof = proved(*clean)
    told = [(each.place.line, str(each), "") for each in proof.problems]
    told += [(each.place.line, str(each), each.kind) for each in proof.remarks]
    wanted = seed.kind.split(" or ")
    fits = [
        text
        for line, text, kind in told
        if line == _line(seed)
        and seed.words in text
        and (kind in wanted or not kind and ("" in wanted or "problem" in wanted))
    ]
    assert fits, told


def test_a_house_file_without_a_mistake_is_clean(proved: Callable[[str, str | None], Proof]) -> None:
    proof = proved(house(rule("north-one", when="wet", form="limit: cover.bond >= 5-1/4 in",
                              cases=GOOD.replace("5 in", "5-1/4 in")),
                         change=("{rule: bared-enough, least: 7 in, reason: wide tape}",)), "north-one\n")  # fmt: skip
    assert [str(each) for each in (*proof.problems, *proof.remarks)] == []
    assert proof.in_force
