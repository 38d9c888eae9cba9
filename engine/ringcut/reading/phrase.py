"""A text with the place where it stands, so that an error in it can be shown there."""

from __future__ import annotations

import msgspec

from ringcut.reading.problems import NOWHERE, Place


class Phrase(msgspec.Struct, frozen=True):
    """A scalar of a file: its text, its place, and whether it stood without quotes."""

    text: str
    place: Place = NOWHERE
    plain: bool = True

    def __str__(self) -> str:
        return self.text
