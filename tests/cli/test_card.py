"""``ringcut card``: what stands on the page, for plans that conform, that do not, and that nobody should trust."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache
from html.parser import HTMLParser
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from ringcut.draft.drafting import draft
from ringcut.draft.models import Job, read_models
from ringcut.reading.raw import RawReading
from ringcut.rulebookfiles import builtin_rulebook
from ringcut_cli.card.contents import Phone, phones_of
from ringcut_cli.main import cli
from ringcut_cli.rulebooks import rulebook

Run = Callable[..., Result]
HOSTILE = '<script>alert(1)</script><img src=x onerror="alert(2)">'


DAY = "2026-03-04"
DEMO = Path(__file__).parents[2] / "cli" / "ringcut_cli" / "demo"


class Seen(HTMLParser):
    """The tags of a page and its text, as a browser takes them."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.said: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.said.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.said).split())


Card = Callable[[str], tuple[Seen, int]]


@pytest.fixture(scope="module")
def card(cache: Path) -> Card:
    """The card of a plan of the demo and the exit code, each made once."""

    @lru_cache
    def made(name: str) -> tuple[Seen, int]:
        arguments = ["card", str(DEMO / name), "--as-of", DAY]
        result = CliRunner().invoke(cli, arguments, env={"RINGCUT_CACHE": str(cache)})
        return Seen(result.stdout), result.exit_code

    return made


def test_the_good_plan(card: Card) -> None:
    seen, code = card("lead-opening.yaml")
    assert code == 0
    assert "QB-0417" in seen.text
    assert "Set guards and signs around the opening".lower() in seen.text.lower()
    assert "conforms: 0 to 10 %LFL" in seen.text
    assert "bond length 5-1/2 in" in seen.text
    assert "This holds while longest opening: at most 15 in (planned 14 in)" in seen.text
    assert "wraparound sleeve S-4 28 in" in seen.text
    assert "In any order:" in seen.text
    assert "do not work by this card" not in seen.text.lower()


def test_every_step_has_a_number_a_box_and_a_time(card: Card, demo: Path) -> None:
    seen, _ = card("lead-opening.yaml")
    boxes = [attrs for tag, attrs in seen.tags if tag == "input" and attrs.get("type") == "checkbox"]
    times = [attrs for tag, attrs in seen.tags if tag == "label" and attrs.get("class") == "time"]
    steps = (demo / "lead-opening.yaml").read_text(encoding="utf-8").partition("steps:")[2]
    # two steps share the line of the any-order group
    written = len(re.findall(r"^  - ", steps, re.MULTILINE)) + 1
    assert len(boxes) == len(times) == written


def test_warnings_have_signal_words_and_the_page_says_what_it_is_not(card: Card) -> None:
    seen, _ = card("lead-opening.yaml")
    for word in ("DANGER", "WARNING", "CAUTION"):
        assert word in seen.text
    assert "Gas and bad air kill without warning." in seen.text
    # beside the verdict, and at the end
    assert seen.text.count("is never a permit to work") == 2
    assert "Local codes" in seen.text


def test_the_digests_are_those_of_check(run: Run, demo: Path, card: Card) -> None:
    seen, _ = card("lead-opening.yaml")
    told = run("check", demo / "lead-opening.yaml", "--as-of", DAY, "--format", "json").stdout
    digests = re.findall(r'"(?:procedure|rulebook)": ?"([0-9a-f]{64})"', told)
    assert len(digests) == 2
    squeezed = seen.text.replace(" ", "")
    assert all(each in squeezed for each in digests)


def test_nothing_is_fetched_and_nothing_runs(card: Card) -> None:
    seen, _ = card("lead-opening.yaml")
    assert {tag for tag, _ in seen.tags} & {"script", "link", "iframe", "img", "object", "form"} == set()
    places = [value for _, attrs in seen.tags for name, value in attrs.items() if name in ("src", "href")]
    assert places == []
    assert not [name for _, attrs in seen.tags for name in attrs if name.startswith("on")]


def test_the_same_plan_and_day_give_the_same_bytes(run: Run, demo: Path) -> None:
    first, second = (run("card", demo / "lead-opening.yaml", "--as-of", DAY).stdout for _ in range(2))
    assert first == second


@pytest.mark.parametrize(
    ("name", "word", "finding"),
    [
        ("bond-too-late.yaml", "WARNING", "temporary"),
        ("channel-over-the-bar.yaml", "NOTICE", "channel"),
        ("short-on-one-side.yaml", "NOTICE", "bond"),
    ],
)
def test_a_plan_that_does_not_conform_gets_a_notice_on_top(card: Card, name: str, word: str, finding: str) -> None:
    seen, code = card(name)
    assert code == 1
    notice = seen.text.index("This plan does not conform. Do not work by this card")
    assert seen.text.rindex(word, 0, notice) < notice < seen.text.index("Watch out")
    assert finding in seen.text[notice : seen.text.index("Watch out")].lower()
    assert "No limits are given, because the plan does not conform as it stands." in seen.text


def test_the_notice_stands_on_every_printed_page(run: Run, demo: Path) -> None:
    page = run("card", demo / "bond-too-late.yaml").stdout
    assert re.search(r"@top-center \{ content: \"WARNING: this plan does not conform", page)
    assert "@top-center" not in run("card", demo / "lead-opening.yaml").stdout


def test_what_is_not_covered_is_on_the_card(card: Card) -> None:
    seen, code = card("not-covered.yaml")
    assert code == 3
    assert "It cannot be said that this plan conforms." in seen.text
    assert "Not covered:" in seen.text


def test_hostile_text_is_text(run: Run, demo: Path, tmp_path: Path) -> None:
    plan = (demo / "lead-opening.yaml").read_text(encoding="utf-8")
    plan = plan.replace("reference: QB-0417", f"reference: '{HOSTILE}'\n  phones: '{HOSTILE} 555 0142'")
    plan = plan.replace("- shrink-sleeve", f"- {{do: shrink-sleeve, note: '{HOSTILE} {{{{ 6 * 7 }}}}'}}")
    plan = plan.replace("size: S-4", f"size: '{HOSTILE}'")
    (tmp_path / "plan.yaml").write_text(plan, encoding="utf-8")
    page = run("card", tmp_path / "plan.yaml").stdout
    seen = Seen(page)
    assert {"script", "img"} & {tag for tag, _ in seen.tags} == set()
    assert seen.text.count(HOSTILE) >= 4  # title, heading, phone, note, size
    assert "{{ 6 * 7 }}" in seen.text


def test_phone_numbers_come_from_the_job(run: Run, demo: Path, tmp_path: Path) -> None:
    plan = (demo / "lead-opening.yaml").read_text(encoding="utf-8")
    told = "phones: pressure desk 555 0142 (invented); power company 555-0143"
    (tmp_path / "plan.yaml").write_text(plan.replace("  work:", f"  {told}\n  work:", 1), encoding="utf-8")
    seen = Seen(run("card", tmp_path / "plan.yaml").stdout)
    calls = [attrs["href"] for tag, attrs in seen.tags if tag == "a"]
    assert calls == ["tel:5550142", "tel:5550143"]


@pytest.mark.parametrize(
    ("text", "phones"),
    [
        ("", ()),
        ("desk 555-0142", (Phone("desk 555-0142", "5550142"),)),
        ("+1 (555) 014 2; desk", (Phone("+1 (555) 014 2", "+15550142"), Phone("desk", ""))),
        ("javascript:alert(1)", (Phone("javascript:alert(1)", ""),)),
        ("route 7", (Phone("route 7", ""),)),
    ],
)
def test_only_digits_are_dialled(text: str, phones: tuple[Phone, ...]) -> None:
    assert phones_of(text) == phones


def test_a_log_gets_no_card(run: Run, tmp_path: Path) -> None:
    (tmp_path / "log.yaml").write_text("procedure: log\nrecords: milestones\nsteps: [scuff-lead]\n", encoding="utf-8")
    result = run("card", tmp_path / "log.yaml")
    assert result.exit_code == 2
    assert "a work card is made of a plan" in result.stderr
    assert result.stdout == ""


def test_a_plan_that_cannot_be_read_gets_no_card(run: Run, demo: Path) -> None:
    result = run("card", demo / "as-typed.yaml")
    assert result.exit_code == 2
    assert result.stdout == ""
    assert "Nothing was judged." in result.stderr


def test_a_file_that_is_there_is_kept(run: Run, demo: Path, tmp_path: Path) -> None:
    there = tmp_path / "card.html"
    there.write_text("mine", encoding="utf-8")
    result = run("card", demo / "lead-opening.yaml", "--output", there)
    assert (result.exit_code, there.read_text(encoding="utf-8")) == (2, "mine")
    assert "--force overwrites it" in result.stderr
    assert run("card", demo / "lead-opening.yaml", "--output", there, "--force").exit_code == 0
    assert there.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


def test_card_and_form_are_not_one_file(run: Run, demo: Path, tmp_path: Path) -> None:
    result = run("card", demo / "lead-opening.yaml", "--output", tmp_path / "a.html", "--log-form", tmp_path / "a.html")
    assert result.exit_code == 2
    assert list(tmp_path.iterdir()) == []


ORDER = """procedure: plan
job: {work: sheath-repair, sheath: {A: lead, B: polyethylene}}
steps:
  # the place
  - any-order:
      - [open-manhole, ventilate]
      - {do: place-ladder, optional: yes}
  # - shut-torch
  - {do: scuff-lead, id: first, side: A, scuffed-length: {A: 6 in}, by: R. Example}
  - {do: assemble-sleeve, after: [first], closure: west, bond-length: {A: 5 in, B: 6 in}}
"""


def test_order_sides_and_notes_are_told(run: Run, tmp_path: Path) -> None:
    (tmp_path / "plan.yaml").write_text(ORDER, encoding="utf-8")
    text = Seen(run("card", tmp_path / "plan.yaml").stdout).text.partition("Steps In this order")[2]
    assert text.index("The place") < text.index("In any order:") < text.index("open-manhole")
    assert "Optional." in text
    assert "first scuffed length A 6 in Side A. By R. Example." in text
    assert "bond length A 5 in bond length B 6 in After first, whatever stands above. Closure west." in text
    # a step that was commented out is no heading
    assert "shut-torch" not in text
    assert "sheath A lead, B polyethylene" in Seen(run("card", tmp_path / "plan.yaml").stdout).text


@pytest.mark.parametrize("model", sorted(path.stem for path in (builtin_rulebook() / "procedures").glob("*.yaml")))
def test_every_kind_of_work_gets_a_card(run: Run, tmp_path: Path, model: str) -> None:
    """The model procedures have jobs and steps that depend on them; drafted they are plans."""
    book = rulebook(None, DAY)
    (one,) = [each for each in read_models(builtin_rulebook(), book) if each.name == model]
    job = said_of(one.raw.job)
    made = draft(job, book, [one], as_of=DAY)
    (tmp_path / "plan.yaml").write_text(made.text, encoding="utf-8")
    result = run("card", tmp_path / "plan.yaml", "--as-of", DAY, "--log-form", tmp_path / "log.csv")
    assert result.exit_code == 0
    seen = Seen(result.stdout)
    assert "In this order, from top to bottom." in seen.text
    drawn = [attrs["class"] for tag, attrs in seen.tags if tag == "svg"]
    assert ("side-wide" in drawn) == (model != "sleeve-removal")


def said_of(job: tuple[RawReading, ...]) -> Job:
    """Job facts of a model as plain data."""
    found: Job = {}
    for fact in job:
        if fact.sides:
            found[fact.name.text] = {side.text: value.text for side, value in fact.sides}
        elif fact.is_list:
            found[fact.name.text] = [item.text for item in fact.items]
        elif fact.value:
            found[fact.name.text] = fact.value.text
    return found


def test_a_stock_list_of_ones_own(run: Run, demo: Path, tmp_path: Path) -> None:
    stock = tmp_path / "stock.csv"
    stock.write_text("size,slips-over in,shrinks-to in,length in\nS-4,3.1,1.2,30\n", encoding="utf-8")
    seen = Seen(run("card", demo / "lead-opening.yaml", "--stock", stock).stdout)
    assert "largest diameter: at most 3.1 in" in seen.text
    assert "cut from 30 in" in seen.text
