"""Pieces of lines that were read whole, and the runs of letters that they make up, for lines of the same pieces.

What a piece means depends on how its entry began, which the piece before it says. A piece stands for all that were met
in its place: those with the same beginning, the same letter and the same beginning of the next entry. One that is met
after another beginning too stands for itself alone. So where a chain of such numbers is met again, each piece follows
the same beginning as before, and means what it meant.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import count
from sys import intern
from typing import Generic, NamedTuple, TypeVar

from ringcut.bulk.entries import Entry
from ringcut.bulk.strips import Strip

R = TypeVar("R")
MOST = 8_000
"""Chains that are remembered."""


class Chain(NamedTuple, Generic[R]):
    """What is known of a chain, and the places whose entries are kept by keys of their own, with these."""

    known: R
    places: tuple[int, ...]
    keys: tuple[str, ...]


class Chains(Generic[R]):
    """The chains that logs of one kind of job were met as."""

    def __init__(self) -> None:
        self.entries: dict[str, Entry] = {}
        """The entry that goes on with a piece; where that depends on its beginning, by both."""
        self._numbers: dict[str, int] = {}
        self._meanings: dict[tuple[str, int, str], int] = {}
        self._given = count(1)
        """Numbers that were never given: those of meanings, and less than nothing those of pieces alone."""
        self._known: dict[tuple[str, tuple[int, ...]], Chain[R]] = {}

    def __len__(self) -> int:
        return len(self.entries)

    def keep(self, wanted: Callable[[R], bool]) -> None:
        """Drop the chains of which nothing is known that is wanted, and the pieces that are then in none."""
        self._known = {key: chain for key, chain in self._known.items() if wanted(chain.known)}
        used = {number for _, numbers in self._known for number in numbers}
        keys = {key for chain in self._known.values() for key in chain.keys}
        self._numbers = {piece: number for piece, number in self._numbers.items() if number in used}
        self._meanings = {meaning: number for meaning, number in self._meanings.items() if number in used}
        self.entries = {key: entry for key, entry in self.entries.items() if key in keys or key in self._numbers}

    def of(self, strip: Strip) -> R | None:
        """What is known of the chain of a line; None where one of its pieces, or the chain, was not met.

        Pieces whose entries have keys of their own are replaced by these.
        """
        try:
            chain = self._known.get((strip.first, tuple(map(self._numbers.__getitem__, strip.pieces))))
        except KeyError:
            return None
        if chain is None:
            return None
        pieces = strip.pieces
        for place, key in zip(chain.places, chain.keys, strict=True):
            pieces[place] = key
        return chain.known

    def meet(self, strip: Strip, letters: Sequence[int], entries: Sequence[Entry], known: R) -> None:
        """Remember a line that was read whole: the letter of each entry, the entries, and what is known of them."""
        if len(strip.pieces) != len(letters):
            return
        if len(self._known) == MOST:
            self._known.clear()
        begun, numbers, places, keys = strip.first, list[int](), list[int](), list[str]()
        for place, (piece, letter, entry) in enumerate(zip(strip.pieces, letters, entries, strict=True)):
            rests = piece.split(strip.between)
            if len(rests) != (1 if place == len(letters) - 1 else 2):
                return
            following = rests[1] if len(rests) == 2 else ""
            meaning = self._meanings.setdefault((begun, letter, following), next(self._given))
            number = self._numbers.setdefault(piece, meaning)
            if number == meaning:
                self.entries.setdefault(piece, entry)
            else:
                if number > 0:
                    number = self._numbers[piece] = -next(self._given)
                key = intern(f"{begun}\0{piece}")
                self.entries.setdefault(key, entry)
                places.append(place)
                keys.append(key)
            numbers.append(number)
            begun = following
        self._known[strip.first, tuple(numbers)] = Chain(known, tuple(places), tuple(keys))
