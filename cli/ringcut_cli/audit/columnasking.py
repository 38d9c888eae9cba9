"""``audit --ask``: the column file of a contractor made by asking, at a terminal or of answers from a pipe.

What is shown and asked goes to stderr; stdout has the file that was written and the command that uses it. Whatever
ends the questions, what was said is kept.
"""

from __future__ import annotations

import re
import shlex
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from ringcut import __version__
from ringcut.archive.columnfile import read_columns
from ringcut.archive.interview.additions import additions
from ringcut.archive.interview.columntext import text_of
from ringcut.archive.interview.course import interview, needs_none
from ringcut.archive.interview.draft import Draft
from ringcut.archive.interview.question import Interview, Note
from ringcut.archive.lexicon import Lexicon, RulebookLexicon
from ringcut.archive.spreadsheets import read_spreadsheet
from ringcut.archive.tables import Table, read_tables
from ringcut.reading.problems import Place, Problem, Unreadable
from ringcut_cli.audit.readtext import count
from ringcut_cli.audit.running import files_of
from ringcut_cli.audit.terminal import Ended, Terminal, can_answer
from ringcut_cli.exits import Exit
from ringcut_cli.rulebooks import rulebook
from ringcut_cli.shown.page import err, harmless, out

_SHEETS = (".csv", ".tsv", ".txt", ".xlsx", ".xlsm")
_STOPPED = "Stopped."
_CLOSED = "The answers ended before the questions did."
_CODES = {"": Exit.CONFORMS, _STOPPED: Exit.STOPPED, _CLOSED: Exit.BAD_INPUT}
Files = Sequence[tuple[Path, str]]


def asked(logs: Sequence[str], target: Path | None, day: str, folder: Path | None) -> Exit:
    """Ask about the sheets, write the column file and try it. Raises Unreadable where a sheet is no table.

    ``target``: the file to write; where it is there already, only what it does not know is asked, for a new file.
    """
    if target is not None and not target.parent.is_dir():
        raise Unreadable([Problem(Place(str(target)), f"there is no folder {target.parent}")])
    lexicon = RulebookLexicon(rulebook(folder, day))
    files = [(path, name) for path, name in files_of(logs) if path.suffix.lower() in _SHEETS]
    tables = _tables(files)
    if not tables or needs_none(tables, lexicon):
        why = "this is the product's own log form" if tables else "YAML, JSON and JSON Lines say what they mean"
        err(f"{harmless(', '.join(logs))}: {why}. It needs no column file.\n")
        out(f"ringcut audit {_typed(*logs)}\n")
        return Exit.CONFORMS
    if not can_answer():
        hint = "run it at a terminal, or send the answers through a pipe, one a line"
        raise Unreadable([Problem(Place("--ask"), "nobody can answer here", "", hint)])
    draft = Draft()
    talk = interview(tables, draft, lexicon)
    if target is not None and target.exists():
        draft.spec = read_columns(target, str(target), lexicon)
        talk = additions(tables, draft, lexicon)
    end = _talked(tables, talk, draft)
    if not draft.answers and not end and target is not None:
        err(f"{harmless(target)} knows everything in these sheets.\n")
        out(f"ringcut audit {_typed(*logs)} --columns {_typed(str(target))}\n")
        return Exit.CONFORMS
    if not draft.answers:
        err(f"{end} Nothing was said yet, so nothing was written.\n")
        return _CODES[end]
    return _kept(draft, end, _free(target or _named(draft, files)), files, logs, lexicon)


def _tables(files: Files) -> list[Table]:
    found: list[Table] = []
    problems: list[Problem] = []
    for path, name in files:
        try:
            found += read_tables(path, name)
        except Unreadable as error:
            problems += error.problems
    if problems:
        raise Unreadable(problems)
    return found


def _talked(tables: list[Table], talk: Interview, draft: Draft) -> str:
    """Go through the interview; why it ended too early, or nothing."""
    terminal = Terminal()
    read = ", ".join(dict.fromkeys(f"{table.file} {table.sheet}".strip() for table in tables))
    first = tables[0]
    how = ", ".join(part for part in (first.encoding, first.separator) if part)
    terminal.note(Note(f"{read}{f' ({how})' if how else ''}"))
    try:
        step = next(talk)
        while True:
            if isinstance(step, Note):
                terminal.note(step)
                step = talk.send(None)
            else:
                answer = terminal.ask(step)
                draft.answers += 1
                draft.unknown += answer is None
                step = talk.send(answer)
    except StopIteration:
        return ""
    except KeyboardInterrupt:
        err("\n")
        return _STOPPED
    except Ended:
        return _CLOSED


def _named(draft: Draft, files: Files) -> Path:
    """A file of this folder, called after the contractor."""
    said = draft.spec.contractor or files[0][0].stem
    return Path(f"columns-{re.sub(r'[^a-z0-9]+', '-', said.casefold()).strip('-') or 'sheet'}.yaml")


def _free(path: Path) -> Path:
    """The name itself, or the next that is not there yet: nothing is written over."""
    names = [path, *(path.with_stem(f"{path.stem}-{number}") for number in range(2, 1000))]
    return next(name for name in names if not name.exists())


def _kept(draft: Draft, end: str, path: Path, files: Files, logs: Sequence[str], lexicon: Lexicon) -> Exit:
    head = [f"Column file made by asking about {', '.join(name for _, name in files)}, ringcut {__version__}."]
    if end:
        head.append(
            f"NOT FINISHED: the questions ended after {count(draft.answers, 'answer')}; what is missing was not asked."
        )
    text = text_of(draft, head)
    try:
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        err(
            f"{harmless(path)} cannot be written: {error.strerror or error}. What was said, to be kept by hand:\n{text}"
        )
        return Exit.BAD_INPUT
    told = f"{count(draft.answers, 'answer')} in {harmless(path)}"
    err(f"\n{end} What was said until then is kept: {told}\n" if end else f"\n{told}\n")
    usable = _tried(path, files, lexicon)
    if usable:
        out(f"ringcut audit {_typed(*logs)} --columns {_typed(str(path))}\n")
    if end or not usable:
        return _CODES[end] or Exit.BAD_INPUT
    if draft.unknown:
        err(f"Not known: {count(draft.unknown, 'answer')}. The file says what is missing, and why it matters.\n")
    return Exit.UNDETERMINED if draft.unknown else Exit.CONFORMS


def _tried(path: Path, files: Files, lexicon: Lexicon) -> bool:
    """Read the sheets by the new file, and say what is still not taken; whether it could be used."""
    try:
        spec = read_columns(path, str(path), lexicon)
        found = [read_spreadsheet(file, name, lexicon, spec, None, path.name) for file, name in files]
    except Unreadable as error:
        err("It cannot be used as it is:\n" + "".join(f"  {harmless(problem)}\n" for problem in error.problems))
        return False
    rows = sum(table.step_rows for each in found for table in each.tables)
    logs = sum(len(each.logs) for each in found)
    err(f"Read by it: {count(rows, 'row')} in {count(logs, 'log')}.\n")
    left = Counter((each.kind.replace("-", " "), each.says) for one in found for each in one.not_taken)
    notes = [each for one in found for each in one.noted if each.kind == "column"]
    for (kind, says), number in left.most_common(8):
        err(f"  not taken, {count(number, 'cell')}: {kind}: {harmless(says)}\n")
    for note in notes[:8]:
        err(f"  {harmless(note.text)}: {harmless(note.says)}\n")
    return True


def _typed(*names: str) -> str:
    """Names as they are typed in a shell."""
    return shlex.join(names)
