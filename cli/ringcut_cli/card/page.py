"""Cards and log forms as pages: Jinja2 with everything escaped, style and drawings inside, no script, no network."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from ringcut.judge.findings import UNDETERMINED, Report
from ringcut_cli.card.shapes import Shape
from ringcut_cli.card.steps import AnyOrder

if TYPE_CHECKING:
    from jinja2 import Environment

    from ringcut_cli.card.contents import Card
    from ringcut_cli.card.logform import LogForm


def card_page(card: Card) -> str:
    """The whole work card, one HTML file."""
    return _environment().get_template("card.html.j2").render(card=card, report=card.report, told=card.told)


def form_page(form: LogForm) -> str:
    """The blank log form, one HTML file."""
    return _environment().get_template("logform.html.j2").render(form=form)


@cache
def _environment() -> Environment:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("ringcut_cli", "card/templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["px"] = pixels
    environment.filters["shape"] = shape_name
    environment.filters["spaced"] = spaced
    environment.tests["any_order"] = lambda item: isinstance(item, AnyOrder)
    environment.globals["notice_word"] = notice_word
    environment.globals["verdict_words"] = verdict_words
    return environment


def pixels(number: float) -> str:
    """A number for SVG; anything else is refused, so that no text gets into a position."""
    return f"{float(number):.2f}".rstrip("0").rstrip(".")


def shape_name(shape: Shape) -> str:
    """Which shape it is, for the template."""
    return type(shape).__name__.lower()


def spaced(text: str) -> str:
    """A digest in groups of eight, so that it can be read aloud and breaks across lines."""
    return " ".join(text[at : at + 8] for at in range(0, len(text), 8))


def notice_word(report: Report) -> str:
    """The signal word over a plan that does not conform: WARNING where a broken rule can hurt, else NOTICE."""
    return "WARNING" if report.counts.critical or report.worst_class == "critical" else "NOTICE"


def verdict_words(report: Report) -> str:
    """The verdict as people say it."""
    return "cannot say" if report.verdict == UNDETERMINED else report.verdict
