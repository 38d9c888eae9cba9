"""The card in Debian's chromium: the drawing is there and to scale, nothing overflows, hostile text stays text."""

from __future__ import annotations

import html
import json
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import Result

pytestmark = pytest.mark.browser

Run = Callable[..., Result]
WIDTHS = PHONE, A4, LETTER = 360, 703, 725
"""CSS pixels: a phone; paper less the margins of 12 mm, 210 mm and 8.5 in wide."""
FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--hide-scrollbars",
    "--disable-background-networking", "--disable-component-update", "--disable-sync", "--virtual-time-budget=4000",
)  # fmt: skip
HOSTILE = '<script>document.title="run"</script><img src=x onerror="document.title=2">'
MEASURE = """
const told = {};
for (const frame of document.querySelectorAll("iframe")) {
  const page = frame.contentDocument, root = page.documentElement, width = frame.clientWidth;
  const box = node => { const r = node.getBoundingClientRect(); return [r.left, r.top, r.width, r.height]; };
  const shown = node => node.getClientRects().length > 0;
  const every = (what, within = page) => [...within.querySelectorAll(what)].filter(shown);
  const sides = every("svg.side-wide, svg.side-narrow");
  const rects = {};
  for (const node of sides.flatMap(side => every("rect", side)))
    (rects[node.getAttribute("class")] ??= []).push(box(node));
  told[frame.id] = {
    scroll: root.scrollWidth,
    over: every("body *").filter(node => !node.closest("svg")).filter(node => {
      const r = node.getBoundingClientRect(); return r.right > width + 0.5 || r.left < -0.5;
    }).map(node => node.tagName + "." + node.className),
    cut: every("body *").filter(node => node.scrollWidth > node.clientWidth + 1 && node.clientWidth > 0 &&
      getComputedStyle(node).overflowX !== "visible" && node.tagName !== "INPUT" && !node.closest("svg"))
      .map(node => node.tagName + "." + node.className),
    texts: sides.flatMap(side => every("text", side)).filter(node => {
      const r = node.getBoundingClientRect(), s = node.ownerSVGElement.getBoundingClientRect();
      return r.left < s.left - 0.5 || r.right > s.right + 0.5;
    }).map(node => node.textContent),
    struck: sides.flatMap(side => every("rect.behind", side)).filter(node =>
      node.nextElementSibling.getBoundingClientRect().width > node.getBoundingClientRect().width
    ).map(node => node.nextElementSibling.textContent),
    rects, sides: sides.length, ends: every("svg.end-view").length,
    targets: every("label.tick, label.pick, label.time, .box, .phones a").map(box),
    scripts: page.querySelectorAll("script, img").length, title: page.title, text: page.body.innerText,
  };
}
const out = document.createElement("pre"); out.id = "told";
out.textContent = JSON.stringify(told); document.body.replaceChildren(out);
"""


TOO_WIDE = (
    '<body style="margin:0"><div class="wide" style="width:2000px">x</div><svg class="side-wide" viewBox="0 0 9 9">'
)
"""A page with which the measuring shows that it sees what overflows."""


def measured(chromium: str, folder: Path, pages: dict[str, str]) -> dict[str, Any]:
    """What a browser makes of pages in frames of some widths, by name and width, in one start of it."""
    frames = "".join(
        f'<iframe id="{name} {width}" width="{width}" height="900" style="border:0"'
        f' srcdoc="{html.escape(page)}"></iframe>'
        for name, page in pages.items()
        for width in WIDTHS
    )
    harness = folder / "harness.html"
    harness.write_text(
        f'<!DOCTYPE html><meta charset="utf-8"><body>{frames}<script>addEventListener("load", () => {{{MEASURE}}})'
        "</script>",
        encoding="utf-8",
    )
    done = subprocess.run(
        [chromium, *FLAGS, f"--user-data-dir={folder / 'profile'}", "--window-size=1600,1000", "--dump-dom",
         harness.as_uri()],
        capture_output=True, text=True, check=True, timeout=120,
    )  # fmt: skip
    told = done.stdout.partition('<pre id="told">')[2].partition("</pre>")[0]
    found: dict[str, Any] = json.loads(html.unescape(told))
    return found


@pytest.fixture(scope="module")
def seen(chromium: str, cache: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """The demo's good plan, the same with hostile text, one that does not conform, a log form, and what is too wide."""
    from click.testing import CliRunner

    from ringcut_cli.main import cli

    folder = tmp_path_factory.mktemp("pages")
    demo = Path(__file__).parents[2] / "cli" / "ringcut_cli" / "demo"
    good = (demo / "lead-opening.yaml").read_text(encoding="utf-8")
    long = "x" * 300
    hostile = good.replace("reference: QB-0417", f"reference: '{HOSTILE}{long}'\n  phones: '{long}; desk 555 0142'")
    hostile = hostile.replace("size: S-4", f"size: '{HOSTILE}{long}'")
    hostile = hostile.replace("- shrink-sleeve", f"- {{do: shrink-sleeve, note: '{HOSTILE}{long}'}}")
    metric = good.replace("cable-diameter: 2.05 in", "cable-diameter: 52 mm").replace(": 14 in", ": 356 mm")
    plans = {
        "good": good,
        "metric": metric,
        "hostile": hostile,
        "broken": (demo / "channel-over-the-bar.yaml").read_text("utf-8"),
    }
    form = ["--log-form", str(folder / "form.csv"), "--force"]
    pages = {
        name: CliRunner().invoke(cli, ["card", "-", *form], input=text, env={"RINGCUT_CACHE": str(cache)}).stdout
        for name, text in plans.items()
    }
    pages["form"] = (folder / "form.html").read_text(encoding="utf-8")
    return measured(chromium, folder, {**pages, "too-wide": TOO_WIDE})


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", ["good", "metric", "hostile", "broken", "form"])
def test_nothing_overflows(seen: dict[str, Any], name: str, width: int) -> None:
    page = seen[f"{name} {width}"]
    assert page["scroll"] <= width
    assert page["over"] == []
    assert page["cut"] == []
    assert page["texts"] == []
    assert page["struck"] == []


def test_the_measuring_sees_what_overflows(seen: dict[str, Any]) -> None:
    page = seen[f"too-wide {PHONE}"]
    assert page["scroll"] == 2000
    assert page["over"] == ["DIV.wide"]


@pytest.mark.parametrize("width", WIDTHS)
def test_the_drawing_is_there_and_to_scale(seen: dict[str, Any], width: int) -> None:
    page = seen[f"good {width}"]
    assert (page["sides"], page["ends"]) == (1, 1)
    inches = {"opening": 14, "muslin": 14, "bar": 15, "rubber-tape": 16, "bond": 5.5, "scuffed": 7, "sleeve": 28}
    # a stroke of one or two pixels lies half outside of its shape and is no part of the box
    scale = page["rects"]["sleeve"][0][2] / 28
    for kind, length in inches.items():
        assert page["rects"][kind][0][2] == pytest.approx(length * scale, abs=0.05), kind
    assert page["rects"]["sheath"][0][3] == pytest.approx(2.05 * scale, rel=0.02)


@pytest.mark.parametrize("width", WIDTHS)
def test_gloves_and_grease_pencils_find_their_targets(seen: dict[str, Any], width: int) -> None:
    targets = seen[f"hostile {width}"]["targets"]
    assert len(targets) > 100
    assert [box for box in targets if box[3] < 48 or box[2] < 48] == []


def test_hostile_text_is_shown_and_does_nothing(seen: dict[str, Any]) -> None:
    page = seen[f"hostile {PHONE}"]
    assert page["scripts"] == 0
    assert page["title"].startswith(f"Work card {HOSTILE}")
    assert page["text"].count(HOSTILE) >= 3


def test_the_notice_is_the_first_thing_to_be_read(seen: dict[str, Any]) -> None:
    text = seen[f"broken {PHONE}"]["text"]
    assert 0 < text.index("This plan does not conform.") < text.index("Watch out")
