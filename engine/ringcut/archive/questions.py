"""Questions to the crew: one for each cause, so that one answer settles everything that waits for it.

A cell that was not taken is one question, with other refused cells of its row that belong to the same step. Readings
that are missing in one row, or beside the same recorded reading, are one; the job's missing facts are one. A reference
that stands in no jobs file is asked for, and not the facts that would come with it. What a log of milestones need not
have is asked for only where nothing else is left to ask, or where the crew drew a stroke in its place.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

import msgspec

from ringcut.archive.asksides import WHICH, by_side, end_of
from ringcut.archive.askwords import ORDER, choices_of, listed, of_cells
from ringcut.archive.claimed import CLAIMED
from ringcut.archive.columns import fold
from ringcut.archive.given import Given
from ringcut.archive.joined import Gap, Token, answerable, joined
from ringcut.archive.ledger import NotTaken, clipped
from ringcut.archive.notes import before_the_work
from ringcut.archive.putting import WHEN
from ringcut.archive.quoting import (
    entry_of,
    lacks_time,
    missing_reading,
    missing_step,
    names,
    refused_in,
    rests_on_times,
    swapped_entries,
    unknown_fact,
    waits_for,
)  # fmt: skip
from ringcut.archive.recorded import missing_of, recorded_of, shown_by
from ringcut.archive.results import Ask, LogReport, Wanted
from ringcut.archive.takenfacts import taken_as_yes
from ringcut.forms.pattern import claimed
from ringcut.judge.findings import UNDETERMINED, Finding
from ringcut.language import ir
from ringcut.relations.backwards import Backwards, backwards
from ringcut.relations.procedure import Occurrence, Procedure


class Asking:
    """The questions of one log."""

    def __init__(self, report: LogReport, given: Given, procedure: Procedure, book: ir.Rulebook) -> None:
        self.report, self.given, self.procedure, self.book = report, given, procedure, book
        self.unsaid = [
            finding
            for number, finding in enumerate(report.findings)
            if finding.verdict == UNDETERMINED and number not in report.together
        ]
        self._absent: dict[tuple[str, str], int] = {}
        """(step, reading) of steps that are not in the log: the row beside which they are asked for."""

    def asks(self) -> tuple[Ask, ...]:
        """By row; each thing is asked for once."""
        found = [
            *self._cells(),
            *self._order(),
            *self._claims(),
            *self._run_back(),
            *self._one_time(),
            *self._facts(),
            *self._swapped(),
        ]
        found += [*self._when(), *self._odd()]
        found += self._missing([gap for finding in self.unsaid for gap in self._gaps(finding)])
        found += self._strokes({each for ask in found for each in ask.wants})
        if not found and self.report.verdict == UNDETERMINED:
            rest = [self.report.findings[number] for number in self.report.together]
            gaps = [gap for finding in rest for gap in self._gaps(finding)]
            found += self._missing([Gap(gap.wants, gap.rules, frozenset([("log",)])) for gap in gaps])
        return tuple(sorted(found, key=lambda each: (each.row, each.column, each.step, each.reading, each.side)))

    def _ask(self, wants: Sequence[Wanted], question: str, rules: tuple[str, ...]) -> Ask:
        first = wants[0]
        return Ask(
            self.given.file, self.given.sheet, self.report.reference, first.row, first.column, first.text, question,
            first.step, first.reading, first.side, also=tuple(wants[1:]), rules=rules,
        )  # fmt: skip

    # cells

    def _cells(self) -> Iterator[Ask]:
        waiting = [(finding.rule, where) for finding in self.unsaid for where in refused_in(finding)]
        yield from self._sides(waiting)
        refused = [each for each in self.given.not_taken if each.kind not in (*_FOR_THE_AUTHOR, WHICH)]
        gaps = [
            Gap((Wanted(each.place.line, each.place.letter, each.text),), (), frozenset(self._belongs(each)))
            for each in refused
        ]
        told = {each.where: each for each in refused}
        for gap in joined(gaps):
            cells = [told[f"{each.row}:{each.column}" if each.column else str(each.row)] for each in gap.wants]
            rules = dict.fromkeys(rule for rule, where in waiting if any(where == each.where for each in cells))
            facts = {each.fact for each in cells}
            rules |= {each.rule: None for each in self.unsaid if unknown_fact(each.cause) in facts - {""}}
            if any(each.kind == "reference" for each in cells) and not self.given.log.matched:
                waits = (each for each in self.unsaid if unknown_fact(each.cause) or self._of_claim(each))
                rules |= dict.fromkeys(each.rule for each in waits)
            yield self._ask(gap.wants, of_cells(cells, self.procedure.sides), tuple(rules))

    def _sides(self, waiting: Sequence[tuple[str, str]]) -> Iterator[Ask]:
        """Values of which it is not known on which side they were read: what was read on each is asked for."""
        for each in by_side(self.given.not_taken, self.given, self.procedure):
            places = {cell.where for cell in each.cells}
            rules = tuple(dict.fromkeys(rule for rule, where in waiting if where in places))
            named = [self._word(msgspec.structs.replace(one, side=""), ()) for one in each.wants]
            if len(each.wants) == 1:
                question = f"{each.says} What was read on side {each.wants[0].side}: {named[0]}?"
            elif len(set(named)) == 1:
                sides = [f"side {end_of(one.side)}" for one in each.wants]
                question = f"{each.says} {named[0][0].upper()}{named[0][1:]}: {listed(sides)}"
            else:
                question = f"{each.says} {listed([self._word(one, each.wants) for one in each.wants])}"
            text = each.cells[0].text if len(each.cells) == 1 else ""
            yield self._ask([msgspec.structs.replace(one, text=text) for one in each.wants], question, rules)

    def _belongs(self, refused: NotTaken) -> Iterator[Token]:
        row = refused.place.line
        yield "cell", refused.where
        if refused.kind in _WORDS:
            # one word that nobody has explained is one question, however often it stands there
            yield "word", refused.kind, refused.place.letter, fold(refused.text)
        if refused.reading:
            yield "step", row, refused.reading.partition(".")[0]
        for column in self.given.columns:
            if column.letter == refused.place.letter:
                for reading in column.readings:
                    yield "step", row, reading.partition(".")[0]

    def _order(self) -> Iterator[Ask]:
        dates = next((each.letter for each in self.given.columns if each.holds == "date"), "")
        for note in before_the_work(self.given, self.procedure):
            text = self.given.cells.get(f"{note.line}:{dates}", "") if dates else note.text
            rules = dict.fromkeys(
                finding.rule for finding in self.unsaid if note.line in swapped_entries(finding.cause, self.procedure)
            )
            yield self._ask([Wanted(note.line, dates or note.letter, text)], note.says, tuple(rules))

    def _claims(self) -> Iterator[Ask]:
        """Rows that claim all steps and name none, once it is known whose they are."""
        for claim in self.given.log.claims if self.given.log.matched else ():
            place = claim.place
            rules = dict.fromkeys(each.rule for each in self.unsaid if self._of_claim(each))
            yield self._ask([Wanted(place.line, place.letter, claim.text)], CLAIMED, tuple(rules))

    def _of_claim(self, finding: Finding) -> bool:
        return any(finding.found == claimed(each.text, each.place) for each in self.given.log.claims)

    def _run_back(self) -> Iterator[Ask]:
        """Times against the list, each in its cell; where most rows are in no order, the first two show it."""
        found = backwards(self.procedure.occurrences) if self.procedure.rows_in_order else Backwards()
        asked = found.doubted if len(found.doubted) <= _MOST_TIMES else found.pairs[0]
        cells = [(each.place.line, self._time_letter(each)) for each in map(self._entry, asked)]
        if not cells or not all(letter for _, letter in cells):
            return
        wants = [Wanted(row, letter, self.given.cells.get(f"{row}:{letter}", "")) for row, letter in cells]
        above, back = (self._entry(index) for index in found.pairs[0])
        rules = dict.fromkeys(finding.rule for finding in self.unsaid if rests_on_times(finding.cause))
        more = f", and {len(found.pairs) - 1} more" if len(found.pairs) > 1 else ""
        says = f"Time runs back at row {back.place.line} ({back.label} after {above.label}{more})."
        if len(wants) == 1:
            yield self._ask(wants, f"{says} At what time was this?", tuple(rules))
        else:
            rows = listed([f"row {each.row}" for each in wants])
            yield self._ask(wants, f"{says} At what time were these: {rows}", tuple(rules))

    def _one_time(self) -> Iterator[Ask]:
        """Where all times are one: when the work began, and when it ended."""
        rules = tuple(each.rule for each in self.unsaid if each.rule == "times-all-equal")
        timed = [each for each in self.procedure.occurrences if each.begin is not None]
        ends = [(each.place.line, self._time_letter(each)) for each in (timed[:1] + timed[-1:]) if rules]
        if len(set(ends)) == 2 and all(letter for _, letter in ends):
            wants = [Wanted(row, letter, self.given.cells.get(f"{row}:{letter}", "")) for row, letter in ends]
            says = f"All times are {wants[0].text}. At what time was the first, and at what time the last"
            yield self._ask(wants, f"{says}: {listed([f'row {each.row}' for each in wants])}", rules)

    def _entry(self, index: int) -> Occurrence:
        return self.procedure.occurrences[index]

    def _time_letter(self, each: Occurrence) -> str:
        """The column that the time of an entry stands in: that of times, or that of its step in a tick sheet."""
        times = next((column.letter for column in self.given.columns if column.holds == "time"), "")
        ticks = {column.letter for column in self.given.columns if column.holds == "step"}
        return times or (each.place.letter if each.place.letter in ticks else "")

    # what is not there

    def _swapped(self) -> Iterator[Ask]:
        """Sides that stand the other way round than planned; the cells are asked for again, or the readings."""
        for each in self.report.compared.swapped if self.report.compared else ():
            cells = all(letter for _, _, letter in each.places)
            wants = [
                Wanted(row, letter, self.given.cells.get(f"{row}:{letter}", "")) if cells
                else Wanted(row, "", "", each.step, each.reading, side)
                for side, row, letter in each.places
            ]  # fmt: skip
            sides = " and ".join(side for side, _, _ in each.places)
            question = f"sides-swapped? {each.says}. Which are right for {sides}? {ORDER}"
            yield self._ask(wants, question, ())

    def _facts(self) -> Iterator[Ask]:
        """The facts that rules wait for, and those that were taken as yes, of which a broken rule was applied."""
        facts: dict[str, list[str]] = {}
        refused = {each.fact for each in self.given.not_taken}  # asked for in their cells
        for finding in self.unsaid:
            fact = unknown_fact(finding.cause)
            if fact and self.given.log.matched and fact not in refused:
                facts.setdefault(fact, []).append(finding.rule)
        row = self.given.log.raw.place.line
        if facts:
            wants = [Wanted(row, reading=fact) for fact in sorted(facts)]
            question = f"Of the job: {listed([self._fact_words(each.reading) for each in wants])}"
            yield self._ask(wants, question, tuple(dict.fromkeys(rule for rules in facts.values() for rule in rules)))
        for fact, rules in taken_as_yes(self.report, self.book).items() if self.given.log.matched else ():
            if fact not in facts and fact not in refused:
                question = f"Of the job: {self._fact_words(fact)}? It was taken as yes, for {', '.join(rules)}."
                yield self._ask([Wanted(row, reading=fact)], question, ())

    def _fact_words(self, fact: str) -> str:
        about = self.book.facts[fact].says if fact in self.book.facts else ""
        name = fact.replace("-", " ")
        said = f"{name} ({about.rstrip('.?')})" if about and about != name else name
        return said + choices_of(self.book.facts.get(fact))

    def _gaps(self, finding: Finding) -> Iterator[Gap]:
        """The readings that a finding misses. What a refused cell held is asked for at the cell."""
        if finding.why_undetermined == "unreadable" and refused_in(finding):
            return
        row = finding.line
        shares: set[Token] = {("row", row)}
        rule = self.book.rule(finding.rule)
        shares |= {("beside", *each) for each in recorded_of(rule, self.procedure, self.book)}
        missing = missing_reading(finding.cause)
        if missing is not None:
            entry = entry_of(missing, finding.closure, self.procedure, self.book)
            if entry is not None:
                row = entry.place.line
                if any((each.step, each.row) == (entry.step, row) for each in self.given.log.answered):
                    shares.add(("row", row))  # told in an answer: what is asked beside it goes along
            word = self.book.steps[missing.step].readings.get(missing.name)
            side = finding.side if word is None or word.sided else ""
            column = self.given.letter(missing.step, missing.name, side)
            spoiled = self._spoiled(row, missing.step, missing.name)
            text = spoiled[0] if spoiled else ""
            step = self._numbered(entry) if entry is not None else missing.step
            wanted = Wanted(row, column, text, step, missing.name, side)
            there = {name for name, _ in entry.readings} if entry is not None else set()
            ways = [each.name for each in shown_by(missing.step, missing.name, self.book) if each.name not in there]
            others = [msgspec.structs.replace(wanted, column="", text="", reading=each) for each in ways]
            yield Gap(tuple(others or [wanted]), (finding.rule,), frozenset(shares))
        elif missing_step(finding.cause) and rule is not None and isinstance(rule.form, ir.Limit):
            there = {each.step for each in self.procedure.occurrences}
            absent = [each for each in missing_of(rule.form.what, self.procedure, self.book) if each.step not in there]
            wants = [
                Wanted(self._absent.setdefault((each.step, each.name), row), step=each.step, reading=each.name)
                for each in dict.fromkeys(absent)
            ]
            if wants:
                yield Gap(tuple(wants), (finding.rule,), frozenset(shares))

    def _numbered(self, entry: Occurrence) -> str:
        """The step of an entry, with its number where its row has several of them."""
        same = [
            each.index
            for each in self.procedure.occurrences
            if (each.step, each.place.line) == (entry.step, entry.place.line) and not (each.implied or each.unlisted)
        ]
        return f"{entry.step}#{same.index(entry.index) + 1}" if len(same) > 1 and entry.index in same else entry.step

    def _when(self) -> Iterator[Ask]:
        """The time of what stands in no row, or in a row that does not say when, where something hangs on it and the
        others have a time to compare it with."""
        timed = any(each.begin is not None for each in self.procedure.occurrences)
        answered = {(each.step, each.row) for each in self.given.log.answered}
        for each in self.procedure.occurrences if timed else ():
            rules = [finding.rule for finding in self.unsaid if lacks_time(finding.cause, each.label)]
            if each.unlisted and each.begin is None and rules:
                step = each.step.replace("-", " ")
                brought = (each.step, each.place.line) in answered
                said = f"The log has no row for {step}." if brought else f"Nothing says when {step} was done."
                question = f"{said} At what time was it done?"
                wanted = Wanted(each.place.line, step=each.step, reading=WHEN)
                yield self._ask([wanted], question, tuple(dict.fromkeys(rules)))

    def _odd(self) -> Iterator[Ask]:
        """Readings outside what people measure: whether they are right; once they were answered they are."""
        known = {(each.row, each.column) for each in self.given.log.answered}
        for finding in self.unsaid:
            where = (finding.line, finding.letter)
            text = self.given.cells.get(f"{finding.line}:{finding.letter}", "") if finding.letter else ""
            if finding.rule in _ODD and text and where not in known:
                found = finding.found.partition(";")
                unit = f" W{found[2].strip()[1:]}" if found[2] else ""
                question = f"{found[0]}, and as a rule it is {finding.needed.removesuffix(' as a rule')}.{unit}"
                yield self._ask([Wanted(*where, text)], f"{question} What was it?", (finding.rule,))

    def _strokes(self, asked: Collection[Wanted]) -> Iterator[Ask]:
        """A stroke where a reading should stand: a crew that leaves a cell to say so is asked, milestones or not."""
        known = {(each.row, each.step, each.reading) for each in asked}
        rest = [self.report.findings[number] for number in self.report.together]
        for note in (each for each in self.given.noted if each.kind == "no-reading"):
            row = note.place.line
            columns = [each for each in self.given.columns if each.letter == note.place.letter]
            names = [(name.partition("."), each.side) for each in columns for name in each.readings]
            held = [Wanted(row, "", "", step, name, side) for (step, _, name), side in names]
            waiting = {
                each: [finding.rule for finding in rest if waits_for(finding, row, each.step, each.reading)]
                for each in held
                if (row, each.step, each.reading) not in known
            }
            read = [each for each, rules in waiting.items() if rules]
            if read:
                # the answer takes the place of the stroke, and is read as the cell would have been
                question = f"That is no reading. What was read: {', '.join(self._word(each, read) for each in read)}?"
                rules = tuple(dict.fromkeys(rule for each in read for rule in waiting[each]))
                yield self._ask([Wanted(row, note.place.letter, note.text)], question, rules)

    def _spoiled(self, row: int, step: str, reading: str) -> tuple[str, str] | None:
        """What stands in a row in place of a reading, and what is said of it."""
        here = [each for each in self.given.noted if each.place.line == row and each.kind in ("unreadable", "remark")]
        noted = [each for each in here if names(each.reading, step, reading)]
        if not noted:
            return None
        # what a column file expects is no matter of the crew's
        says = f'"{clipped(noted[0].text)}" does not tell it' if noted[0].kind == "remark" else noted[0].says
        return noted[0].text, says

    def _missing(self, gaps: list[Gap]) -> Iterator[Ask]:
        for gap in answerable(gaps):
            first = gap.wants[0]
            if len(gap.wants) > 1:
                enough = " (what was read; - for what was not)" if self._any_will_do(gap.wants) else ""
                words = listed([self._word(each, gap.wants) for each in gap.wants])
                question = f"{self._spoken(first)}Not in the log{enough}: {words}"
            else:
                there = any(each.step == first.step.partition("#")[0] for each in self.procedure.occurrences)
                question = f"{self._spoken(first)}Not written: {self._word(first, gap.wants)}?"
                question += "" if there else f" There is no {first.step.replace('-', ' ')} in the log."
            yield self._ask(gap.wants, question, gap.rules)

    def _any_will_do(self, wants: Sequence[Wanted]) -> bool:
        """Whether all that is asked for shows one and the same thing."""
        names = {each.name for each in shown_by(wants[0].step.partition("#")[0], wants[0].reading, self.book)}
        return len({each.step for each in wants}) == 1 and {each.reading for each in wants} <= names

    def _spoken(self, wanted: Wanted) -> str:
        """What stands in a row in place of what is asked, or its remark: it may say something of it."""
        row = wanted.row
        spoiled = self._spoiled(row, wanted.step.partition("#")[0], wanted.reading)
        if spoiled:
            return f"{spoiled[1]}. "
        own = [each for each in self.procedure.occurrences if each.place.line == row and not each.unlisted]
        # the remark of a row with the whole job in it says hardly anything of one step
        one = len({each.step for each in own}) == 1
        note = next((each.note for each in own if one and each.note), "")
        same_file = bool(own) and own[0].place.file == self.given.log.raw.place.file
        return f'The row says "{clipped(note)}". ' if note and same_file and self.given.columns else ""

    def _word(self, wanted: Wanted, beside: Sequence[Wanted]) -> str:
        step, _, number = wanted.step.partition("#")
        words = self.book.steps[step].readings.get(wanted.reading) if step in self.book.steps else None
        said = wanted.reading.replace("-", " ")
        said = f"{said} ({words.says})" if words is not None and words.says and words.says != said else said
        said += choices_of(words)
        row = f", row {wanted.row}" if wanted.row and len({each.row for each in beside}) > 1 else ""
        row += f", {step.replace('-', ' ')} no. {number}" if number else ""
        return said + (f", side {wanted.side}" if wanted.side else "") + row


def asks_of(report: LogReport, given: Given, procedure: Procedure, book: ir.Rulebook) -> tuple[Ask, ...]:
    """The questions of one log, by row."""
    return Asking(report, given, procedure, book).asks()


_WORDS = ("task", "mark", "side")
_FOR_THE_AUTHOR = ("row-end", "column-unit")
"""What no crew can mend: it is told of the file."""
_MOST_TIMES = 4
"""Rows that are asked for together, where times run back."""
_ODD = ("implausible-reading", "unit-mixed-up")
"""Looks at single readings."""
