"""Questions about the crew's words for tasks: which step each is, or which steps, and which readings stand in them."""

from __future__ import annotations

import re
from collections.abc import Callable

from ringcut.archive.columns import LeftOut, Task, fold, squeeze
from ringcut.archive.interview.draft import Draft
from ringcut.archive.interview.meaning import step_said
from ringcut.archive.interview.question import Interview, NotAnAnswer, Note, Question, chosen, quoted, yes_no
from ringcut.archive.interview.saidwords import said_words, shown_words
from ringcut.archive.interview.sight import SeenColumn, Sight
from ringcut.archive.lexicon import Lexicon
from ringcut.archive.tasks import TaskBook
from ringcut.archive.templates import fill, fixed, match, places
from ringcut.reading.kinds import KINDS
from ringcut.reading.measures import Measure, kinds_of_unit, read_measure
from ringcut.reading.suggest import canonical

_NUMBER = re.compile(r"\d+(?:[.,/-]\d+)*")
_FRACTION = re.compile(r"(?:\d+-)?\d+/(?:2|4|8|16|32|64)")
_PARTS = re.compile(r"\s*[+&,/;]\s*|\s+(?:and|then)\s+", re.IGNORECASE)
_NAMES = ("n", "n2", "n3", "n4")
_NAMED = 8
"""Steps that are told where a word stands in the names of several."""
_MOST = 400
"""Wordings that are asked about; a sheet with more has no list of tasks."""

NOTHING = "none"
"""The answer for words that prove no step."""
OUT = "out"
"""The answer for rows that are no step at all."""


def task_words(sight: Sight, draft: Draft, lexicon: Lexicon, confirm: bool = True) -> Interview:
    """The steps of every wording under the task column. ``confirm``: ask whether known ones mean what is known."""
    column = _task_column(sight, draft)
    if column is None:
        return
    book = TaskBook(draft.spec, lexicon)
    known = [text for text in column.texts if book.read(text, "") is not None]
    other = yield from _known(known, column, book, confirm)
    spoken = [text for text in known if text not in other and (said := book.read(text, "")) and not said.told]
    groups: dict[str, list[str]] = {}
    for text in (text for text in column.texts[:_MOST] if text in other or text not in known):
        groups.setdefault(template_of(text), []).append(text)
    for template, texts in groups.items():
        yield from _group(template, texts, column, draft, lexicon)
    out = [rule.says for rule in draft.spec.leave_out if rule.column == column.heading]
    sight.keep(lambda row: all(match(says, row[column.column].text) is None for says in out))
    numbered = {template_of(text): text for text in reversed(spoken) if _NUMBER.search(text)}
    for template, text in numbered.items():
        yield from _numbers(template, text, (lexicon.step(text) or "",), draft, lexicon)
    for text in (text for text in spoken if template_of(text) not in numbered):
        yield from _words(text, text, (lexicon.step(text) or "",), draft, lexicon)


def _known(known: list[str], column: SeenColumn, book: TaskBook, confirm: bool) -> Interview:
    """What the wordings mean that are known: Air on is pressure to the vocabulary, and the blower to some crews. Those
    that mean something else."""
    said = {text: found for text in known if (found := book.read(text, ""))}
    names = {step for found in said.values() for step in found.steps}
    guessed = {
        text: said[text].steps for text in known if not said[text].told and said[text].steps != (canonical(text),)
    }
    says = f"{len(known)} of {len(column.texts)} wordings under {column.heading} are known"
    shown = tuple(f"{text}: {', '.join(steps)}" for text, steps in guessed.items())
    if not guessed:
        yield from [Note(says, ((", ".join(sorted(names)),),))] if known else []
        return ()
    if not confirm:
        yield Note(
            f"{says}. For one that this crew means otherwise write a line under tasks", tuple((each,) for each in shown)
        )
        return ()

    def check(text: str) -> tuple[str, ...]:
        return () if text.casefold() in ("no", "none") else chosen(text, list(guessed))

    asks = f"{says}. Does this crew mean another step by some of these? Name them, with ; between"
    return (yield Question("known", asks, check, shown, guess="none", why="the trade calls these steps so")) or ()


def _task_column(sight: Sight, draft: Draft) -> SeenColumn | None:
    for column in sight.columns:
        spec = draft.spec.column(column.heading)
        if spec and spec.role == "task":
            return column
    return None


def template_of(text: str) -> str:
    """The wording with a place for each number, up to four; one with more numbers stays as it is."""
    whole = _NUMBER.sub(lambda found: _apart(found[0]), text)
    if whole.count("{}") > len(_NAMES) or "{" in text:
        return text
    names = iter(_NAMES)
    return re.sub(r"\{\}", lambda _: "{" + next(names) + "}", whole)


def _apart(number: str) -> str:
    """Places for a number; one on each side of a stroke that makes no fraction of a tape measure, as in 0/20.9."""
    return "{}" if "/" not in number or _FRACTION.fullmatch(number) else "/".join("{}" for _ in number.split("/"))


def _group(template: str, texts: list[str], column: SeenColumn, draft: Draft, lexicon: Lexicon) -> Interview:
    """Wordings that differ in their numbers only: asked together, or one by one."""
    if len(texts) == 1:
        yield from _one(texts[0] if fixed(template) else template, texts[0], column, draft, lexicon)
        return
    seen = tuple(f'"{text}": {column.where(text)}' for text in texts[:6])
    choices = (("each", "they mean different steps: ask for each"), *_CHOICES)
    said = yield Question(
        "tasks", f"Which step are these {len(texts)} wordings, which differ in their numbers?",
        _steps_or_each(lexicon), seen, choices, *guess_steps(texts[0], lexicon),
    )  # fmt: skip
    if said == "each":
        for text in texts:
            yield from _one(text, text, column, draft, lexicon)
    else:
        yield from _take(said, template, texts[0], column, draft, lexicon)


_CHOICES = (
    ("a step", "its name, or several with commas: light-torch, preheat-lead; a word of it finds the name"),
    (NOTHING, "the words prove no step"),
    (OUT, "the row is no step at all, as a total: it is left out"),
)


def _one(say: str, text: str, column: SeenColumn, draft: Draft, lexicon: Lexicon) -> Interview:
    said = yield Question(
        "tasks", f'Which step is "{text}"?', steps_check(lexicon), (column.where(text), _row(column, text)), _CHOICES,
        *guess_steps(text, lexicon),
    )  # fmt: skip
    yield from _take(said, say, text, column, draft, lexicon)


def _row(column: SeenColumn, text: str) -> str:
    """The other cells of the first row with some words, which often tell what they mean."""
    seen = next(row for row, cell in column.cells if fold(cell.text) == fold(text))
    return "with " + quoted([squeeze(cell.text) for cell in seen.row.cells if cell and cell.column != column.column])


def _take(
    said: tuple[str, ...] | None, say: str, text: str, column: SeenColumn, draft: Draft, lexicon: Lexicon
) -> Interview:
    if said is None:
        draft.leave(f"tasks.{text}", "not known")
        return
    if said == (OUT,):
        draft.skip(LeftOut(column.heading, say, "no step"))
        return
    draft.task(Task((say,), said), "proves no step" if not said else "")
    if said and say != text:
        yield from _numbers(say, text, said, draft, lexicon)
    yield from _words(say, text, said, draft, lexicon)


def _steps_or_each(lexicon: Lexicon) -> Callable[[str], tuple[str, ...] | str]:
    check = steps_check(lexicon)
    return lambda text: "each" if text.casefold() == "each" else check(text)


def steps_check(lexicon: Lexicon) -> Callable[[str], tuple[str, ...]]:
    """A check for one step or several; ``none`` for none, ``out`` for a row that is left out."""

    def check(text: str) -> tuple[str, ...]:
        if text.casefold() in (NOTHING, OUT):
            return (OUT,) if text.casefold() == OUT else ()
        steps: list[str] = []
        wrong: list[str] = []
        for part in (each.strip() for each in text.split(",") if each.strip()):
            step = step_said(part, lexicon)
            near = lexicon.near_step(part)
            if step:
                steps.append(step)
            else:
                named = lexicon.steps_named(part)
                wrong.append(f"{part}: no such step" + (f", {near}?" if near else ""))
                wrong += [f"with that word: {', '.join(named[:_NAMED])}"] if named else []
        if wrong or not steps:
            raise NotAnAnswer("; ".join(wrong) or f"{text!r} names no step.")
        return tuple(steps)

    return check


def guess_steps(text: str, lexicon: Lexicon) -> tuple[str, str]:
    """The steps that some words may mean, and why; nothing where nothing is near."""
    plain = " ".join(_NUMBER.sub(" ", text).split())
    whole = lexicon.step(plain)
    if whole:
        return whole, "without its number it is a word of the vocabulary"
    parts = [lexicon.step(part) or lexicon.step_spoken_of(part) for part in _PARTS.split(plain) if part.strip()]
    if len(parts) > 1 and all(parts):
        return ", ".join(dict.fromkeys(parts)), "part by part"
    near = lexicon.step_spoken_of(plain) or lexicon.step_spoken_of(text)
    if lexicon.shared(near):
        return near, f"the job says which it is: {', or '.join(lexicon.shared(near))}"
    return (near, "its words are those of the step") if near else ("", "")


# readings in the words of a task


def _words(say: str, text: str, steps: tuple[str, ...], draft: Draft, lexicon: Lexicon) -> Interview:
    """Whether some words tell readings that are no numbers: ``outer`` which volume was read."""
    known = next((each for each in draft.spec.tasks if say in each.say), Task((say,), steps))
    found = said_words(text, steps, lexicon, known.readings)
    if not found:
        return
    said = yield Question(
        "tasks", f'Does "{text}" tell this?', yes_no, (shown_words(found),), guess="yes", why="its words say so"
    )
    if said:
        draft.task(Task(known.say, known.do, {**known.readings, **found}))


def _numbers(template: str, text: str, steps: tuple[str, ...], draft: Draft, lexicon: Lexicon) -> Interview:
    """Whether the numbers in some words are readings of their steps."""
    names = [word.name for step in steps for word in lexicon.readings_of(step)]
    if not names:
        return
    guess = _guess_numbers(template, steps, lexicon)
    says = f'Does a number in "{text}" tell a reading?'
    shown = f"readings of {', '.join(steps)}: {', '.join(dict.fromkeys(names))}"
    said = yield Question(
        "tasks", says, _readings_check(template, text, steps, lexicon), (f"as {template}", shown),
        (("reading = text", "as duration = {n} min; several with ;"), ("no", "none of them")),
        guess or "no", "its unit stands behind it" if guess else "",
    )  # fmt: skip
    if said:
        task = next((each for each in draft.spec.tasks if template in each.say), Task((template,), steps))
        draft.task(Task(task.say, task.do, dict(said)))


def _guess_numbers(template: str, steps: tuple[str, ...], lexicon: Lexicon) -> str:
    found = []
    for name, unit in re.findall(r"\{(n\d?)\} ?([^\W\d]+|%|\")", template):
        kinds = kinds_of_unit(unit)
        fits = [word.name for step in steps for word in lexicon.readings_of(step) if word.kind in kinds]
        if len(fits) == 1:
            found.append(f"{fits[0]} = {{{name}}} {unit}")
    return "; ".join(found)


def _readings_check(
    template: str, text: str, steps: tuple[str, ...], lexicon: Lexicon
) -> Callable[[str], dict[str, str]]:
    def check(said: str) -> dict[str, str]:
        if said.casefold() in ("no", "none"):
            return {}
        texts = match(template, text) or {}
        made: dict[str, str] = {}
        for part in said.split(";"):
            name, sign, value = (each.strip() for each in part.partition("="))
            own, dot, reading = canonical(name).partition(".")
            name = f"{lexicon.step(own)}.{reading}" if dot else own
            step = lexicon.step(own) if dot else next((step for step in steps if lexicon.word(step, own)), None)
            word = lexicon.word(step, reading or own) if step else None
            if not sign or word is None:
                raise NotAnAnswer(f"{part.strip()!r}: write a reading of {', '.join(steps)}, =, and its text.")
            missing = [place for place in places(value) if place not in texts]
            if missing or not value:
                raise NotAnAnswer(f"{value!r}: its places are {', '.join('{' + each + '}' for each in texts)}.")
            filled = fill(value, texts)
            if word.kind in KINDS and not isinstance(read_measure(filled, word.kind), Measure):
                raise NotAnAnswer(f"{filled!r} is no {word.kind.replace('-', ' ')} (is the unit there?).")
            if word.choices and canonical(filled) not in word.choices:
                raise NotAnAnswer(f"{filled!r} is none of {', '.join(word.choices)}.")
            made[name] = value
        return made

    return check
