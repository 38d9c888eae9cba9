"""Questions about words in cells: marks of a status, sides, people, and what the words for a place mean."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from msgspec.structs import replace

from ringcut.archive.columns import Marks, fold, squeeze
from ringcut.archive.interview.draft import Draft
from ringcut.archive.interview.question import Interview, NotAnAnswer, Question, one_of, quoted, yes_no
from ringcut.archive.interview.sight import SeenColumn, Sight
from ringcut.archive.interview.tasks import template_of
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.marks import read_mark
from ringcut.archive.templates import match
from ringcut.archive.values import NOTHING
from ringcut.language import ir
from ringcut.reading.measures import read_yes_no
from ringcut.reading.suggest import canonical

STATUSES = {
    "done": "the step was done",
    "not-done": "it was not",
    "not-applicable": "it does not apply to the job",
    "not-recorded": "nobody wrote down whether",
}
_BOTH = ("both", "all", "a+b", "a/b", "a & b", "a and b")
_FONT = ("\u00fc", "\u00fb", "P", "O")
_NUMBERED = re.compile(r"(?P<name>.+?)[ \"'(-]+(?P<side>[\w.]{1,6})[\"')]*(?:\s*[(\[].*)?")


def having(sight: Sight, draft: Draft, *roles: str) -> list[SeenColumn]:
    """The columns of some roles."""
    return [each for each in sight.columns if (spec := draft.spec.column(each.heading)) and spec.role in roles]


def marks(sight: Sight, draft: Draft, empty: bool = True) -> Interview:
    """What the marks under the status column, or under steps, mean; ``empty``: no mark too."""
    columns = having(sight, draft, "status", "step")
    found: dict[str, str] = {}
    timed = {column.heading for column in having(sight, draft, "step")}
    for column in columns:
        for text in column.texts:
            # a tick column has times too, which are for the reader
            if column.heading not in timed or not any(map(str.isdigit, text)):
                found.setdefault(text, f"{column.heading}: {column.where(text)}")
    found |= {text: where for text, where in _mark_values(sight, draft).items() if text not in found}
    odd = [text for text in found if read_mark(text, draft.spec.marks) is None]
    font = [text for text in odd if text in _FONT]
    if font:
        said = yield Question(
            "marks", f"Are {quoted(font)} ticks and crosses of a symbol font?", yes_no,
            tuple(found[text] for text in font), guess="yes" if "\u00fc" in font or "\u00fb" in font else "",
            why="symbol fonts leave \u00fc or P of a tick, \u00fb or O of a cross",
        )  # fmt: skip
        if said:
            draft.put("ticks and crosses of a symbol font", marks=replace(draft.spec.marks, symbol_font=True))
            odd = [text for text in odd if text not in _FONT]
    for text in odd:
        said = yield Question("marks", f'What does the mark "{text}" mean?', one_of(*STATUSES), (found[text],),
                              tuple(STATUSES.items()))  # fmt: skip
        if said is None:
            draft.leave(f"marks.{text}", f'"{text}" is not known and counts as not recorded')
        else:
            draft.mark(said, text)
    if empty:
        yield from _empty(sight, draft)


def _mark_values(sight: Sight, draft: Draft) -> dict[str, str]:
    """The values of a sheet with a row a reading that are marks, by what their names mean, and where they stand."""
    marked = {fold(name) for name, means in draft.spec.readings.items() if means == ("status",)}
    names, values = (next(iter(having(sight, draft, role)), None) for role in ("reading-name", "value"))
    if names is None or values is None:
        return {}
    cells = [cell for row, cell in values.cells if fold(row[names.column].text) in marked]
    return {squeeze(cell.text): f"{values.heading}: {values.where(cell.text)}" for cell in reversed(cells)}


def _empty(sight: Sight, draft: Draft) -> Interview:
    ticks = draft.spec.shape == "ticks"
    # an empty cell of a tick sheet is no tick, whatever else it is
    choices = {word: meaning for word, meaning in STATUSES.items() if not ticks or word != "done"}
    columns = [each for each in having(sight, draft, "step" if ticks else "status") if each.empty]
    if columns:
        names = quoted([each.heading for each in columns])
        said = yield Question(
            "marks.empty", f"What does an empty cell under {names} mean?", one_of(*choices),
            (f"{columns[0].heading}: {columns[0].empty} of {len(sight.rows)} rows",), tuple(choices.items()),
        )  # fmt: skip
        if said is None:
            draft.leave("marks.empty", "what an empty mark means is not known; it counts as not recorded")
        else:
            draft.put(marks=replace(draft.spec.marks, empty=said))


def sides(sight: Sight, draft: Draft, lexicon: Lexicon) -> Interview:
    """Which side is A and which B, by whatever name they go in cells and headings."""
    names: dict[str, str] = {}
    known = {fold(said) for side, others in draft.spec.sides.items() for said in (side, *others)} | {"a", "b"}
    for column in having(sight, draft, "side"):
        for text in column.texts:
            if fold(text) not in (*_BOTH, *known):
                names.setdefault(text, f"{column.heading}: {column.where(text)}")
    for name, headings in _in_headings(sight, draft, lexicon).items():
        if fold(name) not in known:
            names.setdefault(name, "in the headings " + quoted(headings))
    for name, where in names.items():
        said = yield Question(
            "sides", f'Which side is "{name}"?', one_of("a", "b", "none"), (where,),
            (("A", "the office side"), ("B", "the other"), ("none", "it is no side")),
        )  # fmt: skip
        if said is None:
            draft.leave(f"sides.{name}", f'"{name}" is not known; its cells are not taken')
        elif said != "none":
            told = draft.spec.sides or {"A": (), "B": ()}
            draft.put("as said", sides={**told, said.upper(): (*told.get(said.upper(), ()), name)})


def _in_headings(sight: Sight, draft: Draft, lexicon: Lexicon) -> dict[str, list[str]]:
    """Words at the end of headings that are alike but for them, as Bond E and Bond W: headings by word.

    Not those that say what is read, as Gas LEL and Gas O2.
    """
    alike: dict[str, dict[str, str]] = {}
    for column in sight.columns:
        spec = draft.spec.column(column.heading)
        texts = column.texts if spec is not None and spec.role == "reading-name" else [column.heading]
        for text in texts:
            found = _NUMBERED.fullmatch(text)
            if found and (spec is None or spec.role in ("reading", "reading-name")):
                alike.setdefault(fold(found["name"]), {})[found["side"]] = text
    names: dict[str, list[str]] = {}
    for by_side in alike.values():
        if any(lexicon.readings_called(side) for side in by_side):
            continue
        if len(by_side) == 2 and not {fold(side) for side in by_side} & {"a", "b", "1st", "start", "end", "from", "to"}:
            for side, heading in by_side.items():
                names.setdefault(side, []).append(heading)
    return names


def people(sight: Sight, draft: Draft) -> Interview:
    """Who the initials are; they may as well stay as they are."""
    texts = [text for column in having(sight, draft, "by") for text in column.texts]
    if not texts:
        return
    between = next((sign for sign in ("/", "&", "+", ",") if any(sign in text for text in texts)), "/")
    if between != "/":
        both = next(text for text in texts if between in text)
        draft.put(f"stands between two people, as in {quoted([both])}", between_people=between)
    parts = (part.strip() for text in texts for part in text.split(between) if part.strip())
    known = {fold(said) for said in draft.spec.people}
    names = [name for name in dict.fromkeys(parts) if fold(name) not in known]
    if not names:
        return

    def check(text: str) -> dict[str, str]:
        made = {}
        for part in text.split(";") if text.casefold() not in ("no", "none") else ():
            said, sign, person = (each.strip() for each in part.partition("="))
            if not sign or not person or fold(said) not in {fold(name) for name in names}:
                raise NotAnAnswer(f"{part.strip()!r}: write initials of the sheet, =, and the name; several with ;")
            made[said] = person
        return made

    says = "Who are these? As JM = J. Example; several with ;"
    said = yield Question("people", says, check, (quoted(names, 12),), (("no", "they stay as they stand"),), "no",
                          "nothing is judged by it")  # fmt: skip
    if said:
        draft.put("as said", people={**draft.spec.people, **said})


def fact_words(sight: Sight, draft: Draft, lexicon: Lexicon) -> Interview:
    """What the words under a column of a job fact mean, where they are none of its choices."""
    for column in having(sight, draft, "fact"):
        spec = draft.spec.column(column.heading)
        word = lexicon.fact(spec.fact) if spec else None
        if spec is None:
            continue
        words = yield from choice_words(f"columns.{column.heading}", word, column.texts, spec.words)
        if words != spec.words:
            draft.column(column.heading, replace(spec, words=words), draft.why.get(f"columns.{column.heading}", ""))


def reading_words(column: SeenColumn, word: ir.Word, draft: Draft) -> Interview:
    """What a tick, or a word of the crew, means under a reading that is one of some words, or yes or no."""
    spec = draft.spec.columns[column.heading]
    choices = word.choices or (("yes", "no") if word.kind == "yes-no" else ())
    words = dict(spec.words)
    for text in column.texts if choices else ():
        if _says_itself(text, word, draft.spec.marks) or any(match(said, text) is not None for said in words):
            continue
        about = word.says or word.name.replace("-", " ")
        said = yield Question(
            f"columns.{column.heading}", f'What does "{text}" under "{column.heading}" say of {about}?',
            one_of(*choices, "none"), (column.where(text),),
            (*((each, "") for each in choices), ("none", "nothing: at most that the step was done")),
            *_guess_choice(text, choices),
        )  # fmt: skip
        if said is None or said == "none":
            draft.leave(f"columns.{column.heading}.{text}", f'"{text}" tells no {word.name}: it is not taken')
        else:
            words[text] = said
    if words != spec.words:
        draft.column(column.heading, replace(spec, words=words), draft.why.get(f"columns.{column.heading}", ""))


def _says_itself(text: str, word: ir.Word, known: Marks) -> bool:
    """Whether a cell needs no explaining: it is a choice, no reading at all, or a mark that says it."""
    mark = read_mark(text, known)
    if text.casefold() in NOTHING or mark is not None and mark.status in ("not-applicable", "not-recorded"):
        return True
    if word.kind == "yes-no":
        return mark is not None or read_yes_no(text) is not None or text.casefold() in ("y", "n")
    return canonical(text) in (*map(canonical, word.choices), *word.reads_as)


def choice_words(about: str, word: ir.Word | None, texts: Sequence[str], known: Mapping[str, str]) -> Interview:
    """What texts mean that are none of the choices of a job fact; gives the words, those that were known among them."""
    words: dict[str, str] = dict(known)
    if word is None or not word.choices:
        return words
    odd = [text for text in texts if canonical(text) not in (*word.choices, *word.reads_as)]
    odd = [text for text in odd if all(match(said, text) is None for said in words)]
    for template in dict.fromkeys(_letters(text) for text in odd):
        alike = [text for text in odd if match(template, text) is not None]
        said = yield Question(
            about, f'Which {word.name.replace("-", " ")} is "{template}"?',
            one_of(*word.choices), (f"{quoted(alike)}",), tuple((each, "") for each in word.choices),
            *_guess_choice(template, word.choices),
        )  # fmt: skip
        if said is not None:
            words[template] = said
    return words


def _letters(text: str) -> str:
    """The words with one place for everything from the first number on: MH 114 and Pole 17-B."""
    found = re.match(r"(\D*?)\s*(?=\d)", squeeze(text))
    return f"{found[1]} {{n}}" if found and found[1].strip() else template_of(text)


_SHORT = {"mh": "manhole", "pole": "aerial", "p": "aerial", "cv": "vault", "bldg": "building"}


def _guess_choice(text: str, choices: tuple[str, ...]) -> tuple[str, str]:
    first = text.casefold().split()[0].strip(".#") if text.split() else ""
    meant = _SHORT.get(first, first)
    return (meant, f"{first} is short for it" if meant != first else "by its word") if meant in choices else ("", "")
