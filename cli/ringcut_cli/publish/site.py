"""A rulebook as a small site of plain files: no script, nothing from a network, printable."""

from __future__ import annotations

from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from typing import Any

from ringcut.language import ir
from ringcut_cli.publish.gathered import ShownRule, shown_rules, shown_works

CLASSES = ("critical", "major", "minor")


def publish(book: ir.Rulebook, models: Path, folder: Path) -> list[Path]:
    """Write the pages of a rulebook; ``models``: the rulebook folder with the procedures. The files written.

    Raises OSError where they cannot be written and Unreadable where a model procedure does not fit the rulebook.
    """
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    templates = Path(str(files("ringcut_cli") / "publish" / "templates"))
    environment = Environment(
        loader=FileSystemLoader(templates), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True, keep_trailing_newline=True,
    )  # fmt: skip
    rules = shown_rules(book)
    works = shown_works(models, book)
    common: dict[str, Any] = {"book": book, "works": works, "known": {each.rule.id for each in rules}, "markup": Markup}
    pages: dict[str, str] = {"style.css": (templates / "style.css").read_text(encoding="utf-8")}

    def page(name: str, template: str, **more: Any) -> None:
        root = "../" * name.count("/")
        pages[name] = environment.get_template(template).render(**common, root=root, **more)

    page("index.html", "index.html.j2", groups=_by(rules, lambda each: each.rule.subject, list(book.subjects)))
    page(
        "classes.html",
        "list.html.j2",
        title="Rules by class",
        groups=_by(rules, lambda each: each.rule.class_, CLASSES),
    )
    bases = sorted({each.kind_of_basis for each in rules})
    page(
        "bases.html", "list.html.j2", title="Rules by basis", groups=_by(rules, lambda each: each.kind_of_basis, bases)
    )
    for each in rules:
        page(each.page, "rule.html.j2", shown=each)
    for work in works:
        page(f"work/{work.name}.html", "work.html.j2", work=work)
    return _written(folder, pages)


def _by(
    rules: list[ShownRule], key: Callable[[ShownRule], str], order: list[str] | tuple[str, ...]
) -> list[tuple[str, list[ShownRule]]]:
    """Rules under headings, in the order of the headings; none without rules."""
    found = [(name, [each for each in rules if key(each) == name]) for name in order]
    return [(name, members) for name, members in found if members]


def _written(folder: Path, pages: dict[str, str]) -> list[Path]:
    written = []
    for name, text in pages.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
        written.append(path)
    return written
