"""What was asked on the command line, and the audit that answers it."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import click

from ringcut.archive.again import kept_beside
from ringcut.archive.answering import questions_file
from ringcut.archive.auditreport import MadeFrom
from ringcut.archive.work import Settings
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut.rulebookfiles import builtin_rulebook
from ringcut_cli.audit.progress import Progress
from ringcut_cli.audit.readtext import count
from ringcut_cli.audit.running import Run, Sink, files_of
from ringcut_cli.exits import Exit
from ringcut_cli.failures import NotWritten
from ringcut_cli.rulebooks import cache_folder
from ringcut_cli.shown.page import out_bytes


class Asked(NamedTuple):
    """The logs and everything that decides the result, as typed. ``base``: the folder that names start from."""

    logs: tuple[str, ...]
    as_of: str
    rulebook: Path | None = None
    columns: tuple[Path, ...] = ()
    jobs: Path | None = None
    plans: tuple[Path, ...] = ()
    concessions: Path | None = None
    answers: Path | None = None

    def settings(self, pictures: bool = False) -> Settings:
        """What a bench is made from; ``pictures``: with a timeline of each log."""
        return Settings(
            builtin_rulebook(), self.as_of, self.rulebook, self.concessions, self.columns, self.jobs, self.answers,
            self.plans, cache_folder(), pictures,
        )  # fmt: skip

    def made_from(self) -> MadeFrom:
        """The names for a report, so that it can be made again."""
        return MadeFrom(
            self.logs, self.as_of, _name(self.rulebook), _name(next(iter(self.columns), None)), _name(self.jobs),
            tuple(map(_name, self.plans)), _name(self.concessions), _name(self.answers),
            tuple(map(_name, self.columns)),
        )  # fmt: skip


def _name(path: Path | None) -> str:
    return path.as_posix() if path else ""


def audit(
    asked: Asked, form: str, fail_on: str, workers: int = 1, store: Path | None = None, questions: Path | None = None
) -> Exit:
    """Judge and write to stdout; the questions to a file of their own.

    Raises Unreadable where that file could not be written in the end, NotWritten where it or the report was not.
    """
    if questions is not None:
        writable(questions)
    run = Run(asked.settings(pictures=form == "html"), fail_on, workers, store)
    files = list(files_of(asked.logs))
    total = sum(path.stat().st_size for path, _ in files if path.is_file())
    ended = run.over(files, sink(form, asked, str(questions or "")), Progress(total))
    if questions is not None:
        # what was answered goes along, so that one file has all answers when it comes back again
        asked_for = questions_file([*ended.asks, *kept_beside(run.bench.answers.kept, ended.asks)])
        try:
            questions.write_bytes(asked_for)
        except OSError as error:
            raise NotWritten(str(questions), error, "The report is whole; the questions are not written.") from error
    if form != "text":
        for line in ended.aloud:
            click.echo(line, err=True)
    if ended.store_lost:
        click.echo(
            f"{store}: cannot be used any more: {ended.store_lost}. The report is whole; results from there on are not "
            "kept, and the next run judges them again.", err=True,
        )  # fmt: skip
    if ended.stopped:
        click.echo(f"Stopped. {count(ended.summary.logs, 'log was', 'logs were')} judged.", err=True)
    if ended.lost:
        judged = count(ended.summary.logs, "log was", "logs were")
        click.echo(
            f"A worker process was lost: {ended.lost}.\n{judged} judged before and told in the report; the others were "
            "not looked at. Without --workers everything is done in one process.", err=True,
        )  # fmt: skip
    return ended.code


def sink(form: str, asked: Asked, questions: str, write: Callable[[bytes], None] | None = None) -> Sink:
    """Where results go, by the name of the form."""
    from ringcut_cli.audit import outputs

    # bytes, because the encoding of a terminal is no matter of these formats
    write = write or out_bytes
    several = len(asked.columns) > 1
    match form:
        case "json":
            return outputs.JsonSink(write, asked.made_from())
        case "csv":
            return outputs.CsvSink(write)
        case "junit":
            return outputs.JunitSink(write)
        case "sarif":
            return outputs.SarifSink(write)
        case "html":
            from ringcut_cli.audit.htmlpage import HtmlSink

            return HtmlSink(write, several)
    from ringcut_cli.audit.textual import TextSink

    return TextSink(questions, several)


def writable(path: Path) -> None:
    """Look before a long run whether a file can be written after it."""
    folder = path.parent
    if not folder.is_dir():
        raise Unreadable([Problem(Place(str(path)), f"cannot be written: there is no folder {folder}")])
    if not os.access(path if path.exists() else folder, os.W_OK):
        raise Unreadable([Problem(Place(str(path)), "cannot be written: it is write-protected")])
