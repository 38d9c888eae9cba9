"""The page of an audit, as text and in Debian's chromium: filter, sort, widths, hostile text, the timeline."""

from __future__ import annotations

import html
import json
import re
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from ringcut_cli.audit.readtext import verdicts_said
from ringcut_cli.main import cli

Run = Callable[..., Result]
SHEETS = Path(__file__).parents[1] / "archive" / "data"
HOSTILE = '<script>document.title="run"</script><img src=x onerror="document.title=2">'
FLAGS = ("--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--hide-scrollbars",
         "--disable-background-networking", "--disable-sync", "--virtual-time-budget=4000")  # fmt: skip
LOOK = """
const told = {};
for (const frame of document.querySelectorAll("iframe")) {
  const page = frame.contentDocument, root = page.documentElement;
  const shown = () => [...page.querySelectorAll("#logs tbody tr")].filter(row => !row.hidden)
    .map(row => row.cells[1].textContent.trim());
  const all = shown(), filter = page.getElementById("filter"), found = {};
  if (filter) {
    filter.value = "J-12"; filter.dispatchEvent(new Event("input"));
    found.filtered = shown(); found.count = page.getElementById("count").textContent;
    filter.value = ""; filter.dispatchEvent(new Event("input"));
    const verdict = page.getElementById("verdict");
    verdict.value = "nonconforming"; verdict.dispatchEvent(new Event("change")); found.bad = shown();
    verdict.value = ""; verdict.dispatchEvent(new Event("change"));
    const head = page.querySelectorAll("#logs th button")[1];
    head.focus(); found.focused = page.activeElement === head;
    head.click(); found.up = shown().slice(0, 3);
    head.click(); found.down = shown().slice(0, 3);
    found.sorted = head.parentNode.getAttribute("aria-sort");
    const link = page.querySelector("#logs a"), whole = page.getElementById(link.hash.slice(1));
    found.closed = !whole.open;
    page.addEventListener("click", event => event.preventDefault());  // a frame without an address has nowhere to go
    link.focus(); link.click();
    found.opened = whole.open && whole.textContent.includes(link.textContent);
    whole.open = false;
  }
  const said = page.createTreeWalker(page.body, NodeFilter.SHOW_TEXT), torn = [];
  while (said.nextNode()) {
    const node = said.currentNode;
    for (const word of node.parentNode.closest("td, th") ? node.data.matchAll(/[A-Za-z0-9.,]+/g) : []) {
      const range = page.createRange();
      range.setStart(node, word.index); range.setEnd(node, word.index + word[0].length);
      if (new Set([...range.getClientRects()].map(each => each.top)).size > 1) { torn.push(word[0]); }
    }
  }
  const closed = [...page.querySelectorAll("details:not([open])")];
  frame.contentWindow.dispatchEvent(new Event("beforeprint"));
  told[frame.id] = {
    over: [...page.querySelectorAll("main *, header, footer")].filter(each => !each.closest("svg, table") &&
      each.getClientRects().length && each.getBoundingClientRect().right > frame.clientWidth + 0.5)
      .map(each => each.tagName + "." + each.className),
    found, all: all.length, scroll: root.scrollWidth, title: page.title, text: page.body.textContent,
    scripts: page.querySelectorAll("script").length, images: page.querySelectorAll("img").length,
    bars: page.querySelectorAll("svg rect.held").length,
    cut: [...page.querySelectorAll(".timeline svg text")].filter(each => {
      const name = each.getBoundingClientRect(), room = each.closest("svg").getBoundingClientRect();
      return name.bottom > room.bottom || name.right > room.right || name.left < room.left;
    }).map(each => each.textContent),
    open: [...page.querySelectorAll("details:not(.steps, .measured)")].every(each => each.open), torn,
    steps: [...page.querySelectorAll("details.steps")].map(each => each.open),
  };
  frame.contentWindow.dispatchEvent(new Event("afterprint"));
  told[frame.id].again = closed.every(each => !each.open);
}
const out = document.createElement("pre"); out.id = "told";
out.textContent = JSON.stringify(told); document.body.replaceChildren(out);
"""


def log(reference: str, bond: str, crew: str) -> str:
    job = {"reference": reference, "work": "trouble-opening", "sheath": "lead", "construction": "single",
           "core": "paper", "location": "aerial", "pressurized": "no"}  # fmt: skip
    steps = [
        {"do": "open-sheath", "at": "2026-03-04T08:00:00-06:00", "by": crew},
        {"do": "assemble-sleeve", "at": "2026-03-04T09:00:00-06:00", "by": crew, "bond-length": bond},
    ]
    return json.dumps({"procedure": "log", "records": "milestones", "job": job, "steps": steps})


@pytest.fixture(scope="module")
def pages(cache: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """The weekly sheet; forty logs; one log with hostile text."""
    folder = tmp_path_factory.mktemp("audit")
    for name in ("contractor-c.csv", "contractor-c.yaml", "workorders.csv"):
        shutil.copy(SHEETS / name, folder)
    many = [log(f"J-{number}", "4 in" if number % 4 == 0 else "5-1/2 in", "R. Example") for number in range(40)]
    (folder / "many.jsonl").write_text("\n".join(many) + "\n")
    (folder / "hostile.jsonl").write_text(log(HOSTILE, "4 in", HOSTILE) + "\n")
    by = ["--columns", str(folder / "contractor-c.yaml"), "--jobs", str(folder / "workorders.csv")]
    asked = {"week": ["contractor-c.csv", *by], "many": ["many.jsonl"], "hostile": ["hostile.jsonl"]}
    made = {}
    for name, (file, *options) in asked.items():
        arguments = ["audit", "--format", "html", "--as-of", "2026-04-01", str(folder / file), *options]
        made[name] = CliRunner().invoke(cli, arguments, env={"RINGCUT_CACHE": str(cache)}).stdout
    return made


PLAN = """procedure: plan
job: {{reference: {reference}, work: trouble-opening, sheath: polyethylene, construction: single, core: paper}}
steps:
  - open-sheath
  - place-desiccant
  - {{do: assemble-sleeve, bond-length: 5-1/2 in}}
  - shrink-sleeve
"""


@pytest.fixture(scope="module")
def planned(cache: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Three logs of two steps, two of them with a plan; and one of them alone."""
    folder = tmp_path_factory.mktemp("planned")
    logs = [log(f"J-{number}", bond, "R. Example") for number, bond in enumerate(("4 in", "5-1/2 in", "5-1/2 in"))]
    (folder / "many.jsonl").write_text("\n".join(logs) + "\n")
    (folder / "one.jsonl").write_text(logs[0] + "\n")
    plans = [folder / f"plan-{number}.yaml" for number in range(2)]
    for number, plan in enumerate(plans):
        plan.write_text(PLAN.format(reference=f"J-{number}"))
    given = [part for plan in plans for part in ("--plan", str(plan))]
    made = {}
    for name, options in (("many", given), ("one", given[:2]), ("none", [])):
        file = folder / ("one.jsonl" if name == "one" else "many.jsonl")
        arguments = ["audit", "--format", "html", "--as-of", "2026-04-01", str(file), *options]
        made[name] = CliRunner().invoke(cli, arguments, env={"RINGCUT_CACHE": str(cache)}).stdout
    return made


def cells(part: str) -> list[list[str]]:
    """The text of each row of a part of a page."""
    rows = re.findall(r"<tr>(.*?)</tr>", part, re.DOTALL)
    texts = [
        [re.sub(r"<[^>]+>", "", cell) for cell in re.findall(r"<t[hd].*?</t[hd]>", row, re.DOTALL)] for row in rows
    ]
    return [[html.unescape(" ".join(text.split())) for text in row] for row in texts]


def test_logs_that_differ_from_their_plans_are_a_section_of_the_page(planned: dict[str, str]) -> None:
    """Symptom: of many logs the page said nothing of plans, and of one it had a paragraph that nobody could read."""
    section = planned["many"].partition('<h2 id="plans">')[2].partition("</section>")[0]
    assert "2 of 2 logs with a plan differ from it." in section
    head, *rows = cells(section)
    told = [dict(zip(head, row, strict=True)) for row in rows]
    assert [(each["Order"], each["Not written"]) for each in told] == [("J-0", "2"), ("J-1", "2")]
    assert "Left out" not in head  # nothing was, of any of them
    assert told[0]["Readings changed"] == "assemble-sleeve bond length: 5-1/2 in planned, 4 in done"
    assert told[1]["Job facts changed"] == "sheath: polyethylene planned, lead done"
    assert 'id="plans"' not in planned["none"]


def test_one_log_stands_beside_its_plan_in_a_table(planned: dict[str, str]) -> None:
    table = planned["one"].partition("<caption>Against the plan")[2].partition("</table>")[0]
    assert cells(table) == [
        ["What", "Planned", "Done"],
        ["job fact", "sheath: polyethylene", "lead"],
        ["reading", "assemble-sleeve bond length: 5-1/2 in", "4 in (line 1)"],
        ["not written", "place-desiccant (line 5)", ""],
        ["not written", "shrink-sleeve (line 7)", ""],
    ]


def test_the_head_says_in_words_how_many_conform(planned: dict[str, str], pages: dict[str, str]) -> None:
    """Symptom: «26 conforms»."""
    head = " ".join(re.sub(r"<[^>]+>", " ", planned["many"].partition("<main>")[0].partition("<body>")[2]).split())
    assert head.endswith("3 logs: 1 does not conform, of 2 we cannot say")
    head = " ".join(re.sub(r"<[^>]+>", " ", pages["many"].partition("<main>")[0].partition("<body>")[2]).split())
    assert head.endswith("40 logs: 10 do not conform, of 30 we cannot say")


@pytest.mark.parametrize(
    ("verdicts", "said"),
    [
        ({"conforms": 1}, "1 conforms"),
        ({"conforms": 26, "nonconforming": 1}, "1 does not conform, 26 conform"),
        (
            {"undetermined": 1, "under concession": 1, "nonconforming": 1200},
            "1,200 do not conform, of 1 we cannot say, 1 is under concession",
        ),
        ({"not applicable": 2, "under concession": 3}, "3 are under concession, to 2 no rule applies"),
        ({}, ""),
    ],
)
def test_verdicts_in_words(verdicts: dict[str, int], said: str) -> None:
    assert verdicts_said(verdicts) == said


def test_a_page_needs_nothing_else(pages: dict[str, str]) -> None:
    for page in pages.values():
        assert page.startswith("<!doctype html>")
        asked = [part for part in ("http://", "https://", "@import", "<link", "url(h") if part in page]
        assert asked == []
        assert "default-src 'none'" in page


def test_the_verdict_comes_first(pages: dict[str, str]) -> None:
    page = pages["week"]
    parts = ["<h1>NONCONFORMING</h1>", "What was read", "Not taken", "HV-2031", "Timeline", "gas-test-hourly"]
    places = [page.index(part) for part in parts[:3]]
    assert places == sorted(places)
    assert all(part in page for part in parts)
    assert "milestone log, no finding" in page


def test_hostile_text_stays_text(pages: dict[str, str]) -> None:
    assert "<img" not in pages["hostile"]
    assert html.escape(HOSTILE, quote=True).replace("&quot;", "&#34;") in pages["hostile"]


def test_a_table_says_what_the_picture_shows(pages: dict[str, str]) -> None:
    assert "The steps as a table" in pages["week"]
    row = pages["week"].partition("<strong>HV-2031")[2].partition("<td>light torch</td>")[2].partition("</tr>")[0]
    assert "torch lit" in row
    assert "sheath open" in row


@pytest.fixture(scope="module")
def seen(chromium: str, pages: dict[str, str], tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """What a browser makes of the pages, on a phone and on paper."""
    folder = tmp_path_factory.mktemp("browser")
    frames = "".join(
        f'<iframe id="{name} {width}" width="{width}" height="900" style="border:0"'
        f' srcdoc="{html.escape(page)}"></iframe>'
        for name, page in pages.items()
        for width in (390, 725, 1000, 1400)
    )
    harness = folder / "harness.html"
    script = f'<script>addEventListener("load", () => {{{LOOK}}})</script>'
    harness.write_text(f'<!DOCTYPE html><meta charset="utf-8"><body>{frames}{script}', encoding="utf-8")
    done = subprocess.run(
        [chromium, *FLAGS, f"--user-data-dir={folder / 'profile'}", "--dump-dom", harness.as_uri()],
        capture_output=True, text=True, check=True, timeout=120,
    )  # fmt: skip
    told = done.stdout.partition('<pre id="told">')[2].partition("</pre>")[0]
    found: dict[str, Any] = json.loads(html.unescape(told))
    return found


@pytest.mark.browser
def test_nothing_runs_over_on_a_phone_and_on_paper(seen: dict[str, Any]) -> None:
    assert {name: each["over"] for name, each in seen.items() if each["over"]} == {}
    assert {name: each["scroll"] for name, each in seen.items()} == {name: int(name.split()[1]) for name in seen}


@pytest.mark.browser
def test_no_word_of_a_table_is_torn(seen: dict[str, Any]) -> None:
    """Symptom: in a narrow window the class of a rule read «critica», with an l below it."""
    assert {name: each["torn"] for name, each in seen.items() if each["torn"] and not name.startswith("hostile")} == {}


@pytest.mark.browser
def test_a_row_leads_to_its_log(seen: dict[str, Any]) -> None:
    """Symptom: of more than thirty logs none was shown whole, so that their evidence was nowhere."""
    found = seen["many 725"]["found"]
    assert found["closed"]
    assert found["opened"]


@pytest.mark.browser
def test_filter_and_sort_work_from_the_keyboard(seen: dict[str, Any]) -> None:
    found = seen["many 725"]["found"]
    assert seen["many 725"]["all"] == 40
    assert (found["filtered"], found["count"]) == (["J-12"], "1 of 40")
    assert len(found["bad"]) == 10
    assert found["focused"]
    assert (found["up"], found["down"], found["sorted"]) == (
        ["J-0", "J-1", "J-2"],
        ["J-39", "J-38", "J-37"],
        "descending",
    )


@pytest.mark.browser
def test_nothing_of_a_file_is_run_and_everything_is_printed(seen: dict[str, Any]) -> None:
    for name, each in seen.items():
        assert (each["scripts"], each["images"], each["open"]) == (1, 0, True), name
        assert each["title"].startswith("Audit: ")
        assert each["again"]
        # a page for one log is a record; of many, tables of steps would be most of the paper
        assert each["steps"] == [name.startswith("hostile")] * len(each["steps"]) != []
    assert HOSTILE in seen["hostile 725"]["text"]


@pytest.mark.browser
def test_the_names_of_steps_have_room_in_the_picture(seen: dict[str, Any]) -> None:
    """Symptom: the longest name was cut at the edge where it was written in bold, with a cross."""
    assert {name: each["cut"] for name, each in seen.items() if each["cut"]} == {}


@pytest.mark.browser
def test_the_timeline_has_its_bars(seen: dict[str, Any]) -> None:
    assert seen["week 725"]["bars"] > 8
