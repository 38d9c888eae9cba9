"""The JSON report of an audit as one typed whole: what ``audit --format json`` writes, and its schema is made from."""

from __future__ import annotations

import msgspec

from ringcut.archive.copied import Copied
from ringcut.archive.results import Ask, FileRead, LogReport, UnreadLog
from ringcut.archive.summary import Summary
from ringcut.judge.findings import FORMAT


class AuditDigests(msgspec.Struct, frozen=True, rename="kebab"):
    """SHA-256, hexadecimal, of everything that results rest on besides the logs, and the version that judged.

    ``context`` is of all of it; then each for itself, empty where none was given. Format 1.3 added these.
    """

    context: str
    version: str
    rulebook: str = ""
    columns: str = ""
    jobs: str = ""
    plans: tuple[str, ...] = ()
    """In the order in which ``made-from`` names them."""
    concessions: str = ""
    answers: str = ""
    column_files: tuple[str, ...] = ()
    """Of every column file, in the order in which ``made-from`` names them; ``columns`` is of the first. Format 1.4
    added it."""


class MadeFrom(msgspec.Struct, frozen=True, rename="kebab"):
    """The names and options, as typed, that make the same report again."""

    logs: tuple[str, ...]
    as_of: str
    rulebook: str
    columns: str
    jobs: str
    plans: tuple[str, ...]
    concessions: str
    answers: str
    column_files: tuple[str, ...] = ()
    """Every column file, as typed; ``columns`` is the first. Format 1.4 added it."""


class AuditReport(msgspec.Struct, frozen=True, rename="kebab"):
    """Many logs judged. ``logs`` comes first, because it is written while they are judged."""

    logs: tuple[LogReport, ...]
    """One report a log, in the order of the files."""
    not_read: tuple[UnreadLog, ...]
    """Logs, lines and files of which nothing was judged."""
    files: tuple[FileRead, ...]
    """What was read of each file, what was assumed and what was not taken."""
    verdict: str
    """Over all logs: nonconforming if any is, else undetermined if any is, was not read or not looked at."""
    worst_class: str
    summary: Summary
    patterns: tuple[Copied, ...]
    """What only several logs together show: to be asked, no verdict."""
    questions: tuple[Ask, ...]
    aloud: tuple[str, ...]
    """Concessions that are not in force or met nothing, and what was not looked at because there is too much of it."""
    complete: bool
    """False: the run was stopped, or lost a process; logs are missing that were not looked at."""
    as_of: str
    digests: AuditDigests
    made_from: MadeFrom
    format: str = FORMAT
    """As of a single report: the second number grows with new keys."""
