"""``ringcut card``: a plan as a work card, one HTML page for paper and phone, and a blank form for its log."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from ringcut_cli.exits import Exit, exit_for
from ringcut_cli.options import as_of_option, rulebook_option, today

if TYPE_CHECKING:
    from ringcut.judge.findings import Report
    from ringcut.language.ir import Rulebook


@click.command()
@click.argument("plan", metavar="PLAN")
@click.option("--output", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE.html",
    help="Write the card there.  [default: standard output]")  # fmt: skip
@click.option("--log-form", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE.csv",
    help="Write the blank log form there, and the same form as a page beside it "
    "(FILE.html, or FILE-log.html where that is the card).")  # fmt: skip
@click.option("--force", is_flag=True, help="Overwrite files that are there.")
@click.option("--stock", type=click.Path(exists=True, dir_okay=False, path_type=Path), metavar="FILE",
    help="Your stock list of sleeves, CSV or YAML.  [default: the rulebook's, which is invented]")  # fmt: skip
@click.option("--concessions", type=click.Path(exists=True, dir_okay=False, path_type=Path), metavar="FILE",
    help="A file of concessions.")  # fmt: skip
@as_of_option
@rulebook_option
def command(
    plan: str, output: Path | None, log_form: Path | None, force: bool, stock: Path | None, concessions: Path | None,
    as_of: str | None, folder: Path | None,
) -> Exit:  # fmt: skip
    """Make the work card of a plan: drawing to scale, steps with what to read, limits, materials, warnings.

    One HTML file that needs no network and no script. A plan that does not conform gets its card too, with a notice
    on top of every page and what is wrong; the exit code is that of "check". A dash reads from standard input. The
    card is never a permit to work.
    """
    from ringcut_cli.card.contents import card_of
    from ringcut_cli.card.judged import judged
    from ringcut_cli.card.page import card_page
    from ringcut_cli.inputs import bytes_of, name_of
    from ringcut_cli.shown.page import err, harmless, out

    form_html = _page_of(log_form, output) if log_form else None
    _free([each for each in (output, log_form, form_html) if each is not None], force)
    data, name = bytes_of(plan), name_of(plan)
    book, report, left_over = judged(data, name, folder, as_of or today(), stock, concessions)
    page = card_page(card_of(data, name, book, report))
    if log_form is not None and form_html is not None:
        _form(data, name, book, report, log_form, form_html)
    if output is None:
        out(page)
    else:
        output.write_text(page, encoding="utf-8", newline="\n")
    if form_html is not None and log_form is not None and form_html.stem != log_form.stem:
        err(harmless(f"{form_html}: the log form as a page, since {output} is the card") + "\n")
    for line in [*([f"{output}: {report.verdict}"] if output and report.verdict != "conforms" else []), *left_over]:
        err(harmless(line) + "\n")
    return exit_for(report)


def _page_of(log_form: Path, output: Path | None) -> Path:
    """The page of a form has the form's name; where the card has that already, one beside it."""
    page = log_form.with_suffix(".html")
    return log_form.with_name(f"{log_form.stem}-log.html") if page == output and page != log_form else page


def _free(files: list[Path], force: bool) -> None:
    """Refuse a file that is named twice, or that is there already."""
    from ringcut.reading.problems import Place, Problem, Unreadable

    wrong = [Problem(Place(str(each)), "the file is there already", "", "--force overwrites it")
        for each in files if each.exists() and not force]  # fmt: skip
    twice = next((each for at, each in enumerate(files) if each in files[:at]), None)
    if twice is not None:
        found, hint = f"{twice} would be card and log form at once", "as --output card.html --log-form log.csv"
        wrong.append(Problem(Place("--log-form"), found, "a name of its own for the form", hint))
    if wrong:
        raise Unreadable(wrong)


def _form(data: bytes, name: str, book: Rulebook, report: Report, log_form: Path, form_html: Path) -> None:
    from ringcut_cli.card.logform import form_csv, form_of
    from ringcut_cli.card.page import form_page

    form = form_of(data, name, book, report)
    log_form.write_text(form_csv(form), encoding="utf-8", newline="")
    form_html.write_text(form_page(form), encoding="utf-8", newline="\n")
