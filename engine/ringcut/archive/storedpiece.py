"""A piece of work of which a store may know a part, and what of its results the store is given.

A line of JSON is known by its bytes wherever it stands, and its results say in many texts where that is. So it is
judged for the store as if it stood in a file and a line that no other can be mistaken for, and these are replaced in
what the store gives. Answers are for a row of a file: with them, a result is known at its own place alone.
"""

from __future__ import annotations

import msgspec

from ringcut.archive.crowd import decoded, encoded
from ringcut.archive.results import Audited, FileRead, Item
from ringcut.archive.resultstore import ResultStore
from ringcut.archive.work import Piece

ANY_FILE = "\x02any file\x03"
ANY_LINE = 9_071_000_000_000
"""The first of the numbers of lines that stand nowhere; of a piece each has its own."""


class StoredPiece:
    """What is known of a piece; ``left`` is still to be judged, and ``whole`` puts both together."""

    def __init__(self, piece: Piece, context: str, store: ResultStore, answered: bool = False) -> None:
        self.piece = piece
        self.anywhere = bool(piece.lines) and not answered
        places = f"\0{piece.name}\0" if answered and piece.lines else ""
        self.keys = piece.keys(context + places, numbered=answered)
        self._known: dict[int, Audited] = {}
        stored = store.known([key for key in self.keys if key])
        for at, key in enumerate(self.keys):
            if key in stored and (found := self._read(at, stored[key])) is not None:
                self._known[at] = found

    @property
    def known(self) -> int:
        """How many results the store gave."""
        return len(self._known)

    def _read(self, at: int, data: bytes) -> Audited | None:
        """Results as they are at their place; None where they are of another version, or damaged."""
        try:
            return self._placed(at, data) if self.anywhere else decoded(data)
        except msgspec.MsgspecError:
            return None

    @property
    def left(self) -> Piece:
        """What is still to be done of it."""
        if not self.piece.lines:
            known = bool(self._known)
            return Piece(self.piece.path, self.piece.name, problem="known") if known else self.piece
        lines = [(at, line) for at, line in enumerate(self.piece.lines) if at not in self._known]
        problem = self.piece.problem or ("" if lines else "known")
        if self.anywhere:
            to_do = tuple((ANY_LINE + at, data) for at, (_, data) in lines)
            return msgspec.structs.replace(self.piece, name=ANY_FILE, lines=to_do, problem=problem)
        return msgspec.structs.replace(self.piece, lines=tuple(line for _, line in lines), problem=problem)

    def whole(self, fresh: Audited, store: ResultStore) -> Audited:
        """What the store knew and what is new, in order; what is new is written."""
        if not self.piece.lines:
            if self._known:
                return self._known[0]
            if self.keys[0] and fresh.unread is None:
                store.keep([(self.keys[0], encoded(fresh))])
            return fresh
        by_line: dict[int, list[Item]] = {}
        for item in fresh.items:
            # a log in a line has no other place than its line, and no finding need be there to say it
            by_line.setdefault(item.line if item.unread is None else item.unread.line, []).append(item)
        items: list[Item] = []
        new = []
        for at, ((number, _), key) in enumerate(zip(self.piece.lines, self.keys, strict=True)):
            if at in self._known:
                items += self._known[at].items
                continue
            own = Audited(tuple(by_line.get(ANY_LINE + at if self.anywhere else number, ())))
            data = msgspec.json.encode(own).replace(_digits(at), _digits(0)) if self.anywhere else encoded(own)
            new.append((key, data))
            items += self._placed(at, data).items if self.anywhere else own.items
        store.keep(new)
        lost = self._placed(0, msgspec.json.encode(Audited((), None, fresh.unread))).unread
        judged = sum(each.report is not None for each in items)
        return Audited(
            tuple(items), FileRead(self.piece.name, "json-lines", logs=judged), lost if self.piece.problem else None
        )

    def _placed(self, at: int, data: bytes) -> Audited:
        """Results of a line that stood nowhere, at its place in this piece."""
        name = msgspec.json.encode(self.piece.name)[1:-1]
        placed = data.replace(_digits(0), str(self.piece.lines[at][0]).encode()).replace(_ANY_FILE, name)
        return msgspec.json.decode(placed, type=Audited)


_ANY_FILE = msgspec.json.encode(ANY_FILE)[1:-1]


def _digits(at: int) -> bytes:
    return str(ANY_LINE + at).encode()
