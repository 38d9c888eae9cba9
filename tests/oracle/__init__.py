"""The practice once more, as plain Python: a second opinion that shares nothing with the engine."""

from .verdicts import judge

__all__ = ["judge"]
