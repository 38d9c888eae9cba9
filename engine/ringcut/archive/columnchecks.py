"""What only a column file as a whole, or the vocabulary, can tell: columns that do not exist, words that say nothing,
tasks that are never reached, steps and readings that there are not."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ringcut.archive.columns import Column, ColumnFile, Marks, Task, fold
from ringcut.archive.factcells import fact_problem
from ringcut.archive.headings import take_apart
from ringcut.archive.lexicon import Lexicon, meant
from ringcut.archive.readingcells import target_of
from ringcut.archive.templates import places, shape
from ringcut.reading.measures import kinds_of_unit
from ringcut.reading.phrase import Phrase
from ringcut.reading.problems import Place, Problem
from ringcut.reading.suggest import canonical, near
from ringcut.reading.yamltext import Map, Node, Seq

_MOST_PLACES = 4
_BLOCK = ("reference", "closure", "date", "by", "contractor", "district", "timezone")
_SIDES = ("A", "B")


def check_columns(
    spec: ColumnFile,
    node: Node,
    tasks: Sequence[tuple[int, Task]],
    lexicon: Lexicon | None,
    problems: list[Problem],
) -> None:
    """Append every mistake; ``spec`` may lack what could not be read, for which a problem is there already.
    ``tasks``: each with its number in the file."""
    checks = _Checks(spec, node, problems)
    checks.columns(whole=not problems)
    checks.sides()
    checks.marks()
    checks.tasks(tasks)
    if lexicon:
        words = _Words(spec, node, problems, lexicon)
        words.columns()
        words.tasks(tasks)


def _inside(node: Node, part: str | int) -> Any:
    if isinstance(node, Map) and isinstance(part, str):
        return next((value for key, value in node.entries if key.text == part or canonical(key.text) == part), None)
    if isinstance(node, Seq) and isinstance(part, int) and part < len(node.items):
        return node.items[part]
    return None


class _Check:
    def __init__(self, spec: ColumnFile, node: Node, problems: list[Problem]) -> None:
        self.spec, self.node, self.problems = spec, node, problems

    def at(self, *path: str | int) -> Place:
        """The place of a value deep in the file; as near as can be found."""
        node = self.node
        for part in path:
            found = _inside(node, part)
            if found is None:
                break
            node = found
        return node.place

    def tell(self, place: Place, found: str, expected: str = "", hint: str = "") -> None:
        self.problems.append(Problem(place, found, expected, hint))


class _Checks(_Check):
    """What can be told without the vocabulary."""

    def columns(self, whole: bool) -> None:
        spec = self.spec
        named = _inside(self.node, "columns")
        headings = {fold(key.text) for key, _ in named.entries} if isinstance(named, Map) else set()
        for number, name in enumerate(spec.fill_down):
            if fold(name) not in headings:
                headings_as_typed = [key.text for key, _ in named.entries] if isinstance(named, Map) else []
                hint = meant(near(name, headings_as_typed) or "")
                self.tell(self.at("fill-down", number), f"{name} is none of the columns", "", hint)
        roles = {column.role for column in spec.columns.values()}
        needs = {"long": {"reading-name", "value"}, "ticks": {"step"}}.get(spec.shape, {"task"})
        if whole and needs - roles:
            found = f"no column holds {', '.join(sorted(needs - roles))}"
            self.tell(self.at("columns"), found, f"shape {spec.shape} needs it")
        for name, column in spec.columns.items():
            self._column(name, column)

    def _column(self, name: str, column: Column) -> None:
        spec = self.spec
        if column.role == "value" and spec.shape != "long":
            found = f"{name} holds values, and shape {spec.shape} does not say of which readings"
            hint = "write {reading: step.reading}, or shape: long with a column that holds reading-name"
            self.tell(self.at("columns", name), found, "", hint)
        if column.unit and not kinds_of_unit(spec.units.get(column.unit, column.unit)):
            self.tell(self.at("columns", name, "unit"), f"{column.unit} is not a unit known here")
        names = {name for each in column.reading for name in target_of(each)[1]}
        for reading, unit in column.units.items():
            at = self.at("columns", name, "units", reading)
            if not kinds_of_unit(spec.units.get(unit, unit)):
                self.tell(at, f"{unit} is not a unit known here")
            if canonical(reading.rpartition(".")[2]) not in names:
                self.tell(at, f"{reading} is no reading of this column", ", ".join(sorted(names)))
        if column.words and column.role not in ("fact", "reading", "value"):
            found = f"{name} holds {column.role}, for which words say nothing"
            hint = {"task": "write them under tasks", "side": "write them under sides", "by": "write them under people",
                    "step": "write marks, or {reading: step.reading} for what is read off it",
                    "status": "write them under marks"}.get(column.role, "")  # fmt: skip
            self.tell(self.at("columns", name, "words"), found, "words belong to a fact or a reading", hint)
        if column.side and column.side not in _SIDES:
            self.tell(self.at("columns", name, "side"), f"there is no side {column.side}", "A or B")

    def sides(self) -> None:
        meant: dict[str, str] = {}
        for side, others in self.spec.sides.items():
            place = self.at("sides", side)
            if side not in _SIDES:
                self.tell(place, f"there is no side {side}", "A (the office side) or B")
            for other in others:
                first = meant.setdefault(fold(other), side)
                if first != side:
                    self.tell(place, f"{other} is {first} and {side}", "one of them")

    def marks(self) -> None:
        """A mark that the column file lists for two statuses, or a tick that is none."""
        if self.spec.shape == "ticks" and self.spec.marks.empty == "done":
            found = "in a tick sheet an empty cell is no tick"
            self.tell(self.at("marks", "empty"), found, "not-recorded, not-done or not-applicable")
        usual, meant = Marks(), dict[str, str]()
        for name in ("done", "not_done", "not_applicable", "not_recorded"):
            words: tuple[str, ...] = getattr(self.spec.marks, name)
            status = name.replace("_", "-")
            for word in words if words != getattr(usual, name) else ():
                other = meant.setdefault(word.casefold(), status)
                if other != status:
                    self.tell(self.at("marks", status), f"{word} is {other} and {status}", "one of them")

    def tasks(self, tasks: Sequence[tuple[int, Task]]) -> None:
        seen: dict[str, list[tuple[int, str]]] = {}
        for number, task in tasks:
            place = self.at("tasks", number)
            for saying in (*task.say, task.remarks):
                named = places(saying)
                if len(named) > _MOST_PLACES or len(set(named)) < len(named):
                    expected = f"at most {_MOST_PLACES}, each with a name of its own"
                    self.tell(place, f"{saying!r} has {len(named)} places", expected)
            self._places(number, task)
            for saying in dict.fromkeys(shape(each) for each in task.say):
                self._reached(saying, number, task, seen.setdefault(saying, []))

    def _places(self, number: int, task: Task) -> None:
        """Every place in a reading is one of the words or of the remark."""
        named = {place for saying in (*task.say, task.remarks) for place in places(saying)}
        for place in places(task.remarks):
            if any(place in places(saying) for saying in task.say):
                where = self.at("tasks", number, "remarks")
                self.tell(where, f"{{{place}}} stands in say and in remarks", "a name of its own for each")
        for reading, value in task.readings.items():
            for place in places(value):
                if place not in named:
                    known = ", ".join(f"{{{each}}}" for each in sorted(named)) or "there is no place in them"
                    at = self.at("tasks", number, "readings", reading)
                    self.tell(at, f"{{{place}}} is no place in say or remarks", known)

    def _reached(self, saying: str, number: int, task: Task, before: list[tuple[int, str]]) -> None:
        """Tasks with the same words are told apart by their remarks, in the order of the file."""
        remarks = shape(task.remarks)
        first = next((line for line, other in before if other in ("", remarks)), 0)
        place = self.at("tasks", number)
        if first:
            hint = "give each its remarks; the one without any comes last"
            self.tell(place, f"{task.say[0]!r} is never reached: line {first} says it already", "", hint)
        before.append((place.line, remarks))


class _Words(_Check):
    """What the vocabulary tells of it."""

    def __init__(self, spec: ColumnFile, node: Node, problems: list[Problem], lexicon: Lexicon) -> None:
        super().__init__(spec, node, problems)
        self.lexicon = lexicon

    def columns(self) -> None:
        for name, column in self.spec.columns.items():
            targets = [*column.reading, *([column.otherwise] if column.otherwise not in ("", "note") else [])]
            for target in targets:
                self._target(target, self.at("columns", name))
            for step in column.step:
                self._step(step, self.at("columns", name))
            self._meanings(name, column)
            if column.fact and self.lexicon.fact(column.fact) is None:
                self._no_fact(column.fact, self.at("columns", name, "fact"))
        for name, text in self.spec.job.items():
            word = self.lexicon.fact(name)
            place = self.at("job", name)
            if word is None:
                self._no_fact(name, place)
            elif wrong := fact_problem(Phrase(text, place), word):
                self.problems.append(wrong)
        for text, label in self.spec.facts_block.items():
            if label.fact not in _BLOCK and self.lexicon.fact(label.fact) is None:
                self._no_fact(label.fact, self.at("facts-block", text))
        for said, named in self.spec.readings.items():
            for target in named if named not in (("status",), ("ignore",)) else ():
                self._target(target, self.at("readings", said))

    def tasks(self, tasks: Sequence[tuple[int, Task]]) -> None:
        for number, task in tasks:
            place = self.at("tasks", number)
            good = [step for step in task.do if self._step(step, place)]
            for reading in task.readings:
                at = self.at("tasks", number, "readings", reading)
                if "." in reading.partition("..")[0]:
                    self._target(reading, at)
                    continue
                first = reading.partition("..")[0]
                having = [step for step in good if self.lexicon.word(canonical(step), canonical(first))]
                if having and ".." in reading:
                    self._target(f"{canonical(having[0])}.{reading}", at)
                elif good and not having:
                    known = [word.name for step in good for word in self.lexicon.readings_of(canonical(step))]
                    near_one = near(canonical(reading), known) or ""
                    self.tell(at, f"{', '.join(good)} has no reading {reading}", "", meant(near_one))

    def _meanings(self, name: str, column: Column) -> None:
        """Each word stands for what the fact, or one of the readings, can be."""
        named = [(step, each) for step, names in map(target_of, column.reading) for each in names]
        words = [word for step, each in named if (word := self.lexicon.word(step, each)) is not None]
        fact = self.lexicon.fact(column.fact) if column.fact else None
        words += [fact] if fact else []
        if not words or len(words) < len(named):
            return
        units = [column.unit, *column.units.values(), take_apart(name, self.spec.sides)[2]]
        meant = [self.spec.units.get(unit, unit) for unit in units if unit]
        for said, means in column.words.items():
            place = self.at("columns", name, "words", said)
            texts = [means, *(f"{means} {unit}" for unit in meant)]
            wrong = [fact_problem(Phrase(text, place), word) for word in words for text in texts]
            if not places(means) and all(wrong):
                self.problems += [each for each in wrong[:1] if each]

    def _step(self, step: str, place: Place) -> bool:
        if self.lexicon.step(step):
            return True
        self.tell(place, f"{step}: no such step", "", meant(self.lexicon.near_step(step)))
        return False

    def _no_fact(self, name: str, place: Place) -> None:
        self.tell(place, f"{name}: no such job fact", "", meant(self.lexicon.near_fact(name)))

    def _target(self, target: str, place: Place) -> None:
        step, names = target_of(target)
        if not names:
            self.tell(place, f"{target!r} names no reading", "step.reading")
        elif self._step(step, place):
            word = self.lexicon.word(step, names[0])
            if word is not None and len(set(names)) < len(names) and not word.sided:
                self.tell(place, f"{target} is side A and side B, and {names[0]} has no sides", "two readings")
            for name in names:
                if self.lexicon.word(step, name) is None:
                    with_it = self.lexicon.steps_with(name)
                    own = [word.name for word in self.lexicon.readings_of(step)]
                    hint = f"it belongs to {' or '.join(with_it[:3])}" if with_it else meant(near(name, own) or "")
                    self.tell(place, f"{step} has no reading {name}", "", hint)
