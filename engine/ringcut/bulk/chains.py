"""Pieces of lines that were read whole, and the runs of letters that they make up, for lines of the same pieces.

What a piece means depends on how its entry began, which the piece before it says. A piece stands for all that were met
in its place: those with the same beginning, the same letter and the same beginning of the next entry. One that is met
after another beginning too stands for itself alone. So where a chain of such numbers is met again, each piece follows
the same beginning as before, and means what it meant.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Sequence
from itertools import count
from operator import attrgetter
from typing import Generic, NamedTuple, TypeVar

import msgspec

from ringcut.bulk.entries import Entry
from ringcut.bulk.strips import Strip

R = TypeVar("R")
Read = Callable[[Strip, bytes, bytes], tuple[int, Entry] | None]
"""Gives the letter and the entry of what begins so and goes on so; None where it has no letter."""
MOST = 2_500
"""Chains that are remembered."""


class Chain(NamedTuple, Generic[R]):
    """What is known of a chain, and those of its entries, with their places, that other beginnings make others."""

    known: R
    own: tuple[tuple[int, Entry], ...]


class Chains(Generic[R]):
    """The chains that logs of one kind of job were met as."""

    def __init__(self) -> None:
        self._pieces: dict[bytes, Entry] = {}
        """The entry that goes on in a piece, after the beginning that was met first."""
        self._meanings: dict[tuple[bytes, int, bytes], int] = {}
        self._given = count(1)
        """Numbers that were never given: those of meanings, and less than nothing those of pieces alone."""
        self._known: dict[tuple[bytes, tuple[int, ...]], Chain[R]] = {}

    def __len__(self) -> int:
        return len(self._pieces)

    def keep(self, wanted: Callable[[R], bool]) -> None:
        """Drop the chains of which nothing is known that is wanted, and the pieces that are then in none."""
        self._known = {key: chain for key, chain in self._known.items() if wanted(chain.known)}
        used = {number for _, numbers in self._known for number in numbers}
        self._pieces = {piece: entry for piece, entry in self._pieces.items() if entry.meaning in used}
        self._meanings = {meaning: number for meaning, number in self._meanings.items() if number in used}

    def of(self, strip: Strip) -> tuple[R, list[Entry]] | None:
        """What is known of the chain of a line, and its entries, which are right where they will be looked at.

        None where a piece, or the chain, was not met.
        """
        try:
            entries = list(map(self._pieces.__getitem__, strip.pieces))
        except KeyError:
            return None
        chain = self._known.get((strip.first, tuple(map(_meaning, entries))))
        if chain is None:
            return None
        for place, entry in chain.own:
            entries[place] = entry
        return chain.known, entries

    def take(self, strip: Strip, read: Read) -> bool:
        """Read the pieces that were not met; whether there were some, each an entry of a kind met in its place."""
        if all(piece in self._pieces for piece in strip.pieces):
            return False
        begun = strip.first
        for place, piece in enumerate(strip.pieces, 1):
            rest, goes_on, following = piece.partition(strip.between)
            if piece not in self._pieces:
                ends = place == len(strip.pieces)
                found = None if strip.between in following or bool(goes_on) == ends else read(strip, begun, rest)
                meaning = self._meanings.get((begun, found[0], following)) if found is not None else None
                if found is None or meaning is None:
                    return False
                self._pieces[piece] = msgspec.structs.replace(found[1], meaning=meaning)
            begun = following
        return all(piece in self._pieces for piece in strip.pieces)

    def meet(
        self, strip: Strip, letters: Sequence[int], entries: Sequence[Entry], known: R, looked: Container[int]
    ) -> None:
        """Remember a line that was read whole: the letter of each entry, the entries, and what is known of them.

        ``looked``: the places of those that will be looked at.
        """
        if len(strip.pieces) != len(letters):
            return
        if len(self._known) == MOST:
            self._known.clear()
        begun, numbers, own = strip.first, list[int](), list[tuple[int, Entry]]()
        for place, (piece, letter, entry) in enumerate(zip(strip.pieces, letters, entries, strict=True)):
            rests = piece.split(strip.between)
            if len(rests) != (1 if place == len(letters) - 1 else 2):
                return
            following = rests[1] if len(rests) == 2 else b""
            meaning = self._meanings.setdefault((begun, letter, following), next(self._given))
            met = self._pieces.get(piece)
            if met is None:
                met = self._pieces[piece] = msgspec.structs.replace(entry, meaning=meaning)
            elif met.meaning != meaning:
                if met.meaning > 0:
                    met.meaning = -next(self._given)
                if place in looked:
                    own.append((place, entry))
            numbers.append(met.meaning)
            begun = following
        self._known[strip.first, tuple(numbers)] = Chain(known, tuple(own))


_meaning = attrgetter("meaning")
