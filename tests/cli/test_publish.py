"""The pages of a rulebook: every link resolves, the graph is drawn, nothing comes from a network."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from ringcut.language.ir import Rulebook
from ringcut.rulebookfiles import builtin_rulebook
from ringcut_cli.main import cli

HOUSE = """\
rulebook: "<Northfield> & sons"
edition: "1"
based-on: base-practice
in-force-from: 2026-03-01
change:
  - {rule: adhesive-bond-length, when: location is aerial, shortest: 6 in, reason: cold}
"""


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("site")
    result = CliRunner().invoke(cli, ["rules", "publish", str(folder)])
    assert result.exit_code == 0, result.output
    return folder


class Links(HTMLParser):
    """What a page points to, what it loads, and the places in it one can point to."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.to: list[str] = []
        self.loaded: list[str] = []
        self.ids: set[str] = set()
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        self.to += [given["href"]] if tag == "a" and "href" in given else []
        self.loaded += [given[key] for key in ("src", "href") if key in given and tag != "a"]
        self.ids |= {given["id"]} if "id" in given else set()


def test_there_is_a_page_for_every_rule_and_every_kind_of_work(site: Path, book: Rulebook) -> None:
    assert {path.stem for path in (site / "rules").iterdir()} == {rule.id for rule in book.rules}
    models = {path.stem for path in (builtin_rulebook() / "procedures").glob("*.yaml")}
    assert {path.stem for path in (site / "work").iterdir()} == models


def test_every_link_resolves(site: Path) -> None:
    pages = {path.resolve(): Links(path.read_text(encoding="utf-8")) for path in site.rglob("*.html")}
    broken = []
    for path, links in pages.items():
        for link in links.to + links.loaded:
            name, _, anchor = link.partition("#")
            target = (path.parent / name).resolve() if name else path
            if not target.exists() or anchor and anchor not in pages[target].ids:
                broken.append(f"{path.name}: {link}")
    assert broken == []
    assert len(pages) > 200


def test_nothing_comes_from_a_network_and_nothing_runs(site: Path) -> None:
    for path in (*site.rglob("*.html"), site / "style.css"):
        text = path.read_text(encoding="utf-8").replace('xmlns="http://www.w3.org/2000/svg"', "")
        assert not re.search(r"(?:src|href)\s*=\s*[\"']?(?:\w+:)?//|url\((?!#)|@import|<script|\son\w+=", text), (
            path.name
        )


def test_a_rule_says_words_first_and_formula_last(site: Path) -> None:
    text = (site / "rules" / "adhesive-bond-length.html").read_text(encoding="utf-8")
    order = [text.index(each) for each in ("The sleeve bonds", "Why", "Basis", "Values", "Cases", "Formula", "limit:")]
    assert order == sorted(order)
    assert re.search(r"sleeve\.yaml:\d+:\d+", text)


def test_cases_are_run_while_the_pages_are_made(site: Path) -> None:
    text = (site / "rules" / "adhesive-bond-length.html").read_text(encoding="utf-8")
    assert "needed: at least 5 in" in text
    assert "came out" not in text


def test_every_rule_is_in_every_index(site: Path, book: Rulebook) -> None:
    for name in ("index", "classes", "bases"):
        links = Links((site / f"{name}.html").read_text(encoding="utf-8")).to
        assert {f"rules/{rule.id}.html" for rule in book.rules} <= set(links), name


def test_a_house_rulebook_shows_its_values_and_its_name_is_text(run: Callable[..., Result], tmp_path: Path) -> None:
    file = tmp_path / "north.yaml"
    file.write_text(HOUSE, encoding="utf-8")
    result = run("rules", "publish", tmp_path / "site", "--rulebook", file)
    assert result.exit_code == 0, result.output
    text = (tmp_path / "site" / "rules" / "adhesive-bond-length.html").read_text(encoding="utf-8")
    assert "6 in" in text and "5 in" in text and "north.yaml:6:" in text
    assert "&lt;Northfield&gt; &amp; sons" in text and "<Northfield>" not in text
    again = run("rules", "publish", tmp_path / "site", "--rulebook", file)
    assert again.exit_code == 2 and "not empty" in again.output


@pytest.mark.browser
def test_a_browser_draws_the_graph(site: Path, chromium: str, tmp_path: Path) -> None:
    page = site / "work" / "trouble-opening-lead.html"
    words = [chromium, "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={tmp_path / 'user'}",
             "--host-resolver-rules=MAP * ~NOTFOUND", "--window-size=1000,900"]  # fmt: skip
    shot = tmp_path / "page.png"
    subprocess.run([*words, f"--screenshot={shot}", page.as_uri()], check=True, capture_output=True, timeout=120)
    assert shot.stat().st_size > 20_000
    dom = subprocess.run(
        [*words, "--dump-dom", page.as_uri()], check=True, capture_output=True, timeout=120
    ).stdout.decode()
    steps, arcs = dom.count('<g class="step">'), len(re.findall(r'<path class="arc', dom))
    assert steps == dom.count("<li><b>") > 40
    assert arcs > 40
