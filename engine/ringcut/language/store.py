"""Compiled rulebooks kept between runs: compiling costs most of a second, reading back a few hundredths.

What is kept is keyed by the digest of the files, the day, and the engine itself, so that a change of any of them
compiles anew. A cache that cannot be read or written is as good as none: it never changes a result.
"""

from __future__ import annotations

import hashlib
import os
from contextlib import suppress
from fractions import Fraction
from pathlib import Path
from tempfile import mkstemp
from typing import Any

import msgspec

from ringcut import __version__
from ringcut.language.ir import Rulebook
from ringcut.language.sources import digest_of, rulebook_files
from ringcut.reading.problems import Problem
from ringcut.reading.yamltext import Map, Scalar, load

SUFFIX = ".msgpack"
KEPT = 12
"""How many compiled rulebooks stay in a cache folder; the oldest go first."""


def load_rulebook(path: Path, cache: Path | None = None, *, builtin: Path | None = None, as_of: str = "") -> Rulebook:
    """The rulebook in force on a day, from a folder or a house file with the layers below it.

    ``cache``: the folder of compiled rulebooks, made where it is missing; None: none. ``builtin``: the folder that
    ``based-on: base-practice`` means; absent: ``path``. Raises Unreadable with every problem of every file, and
    OSError where ``path`` itself cannot be read.
    """
    below = builtin or path
    kept = None if cache is None else cache / f"{digest(path, below)[:40]}-{_maker(path, as_of)}{SUFFIX}"
    found = _read(kept) if kept else None
    if found is None:
        from ringcut.language.layering import load_layers

        found = load_layers(path, below, as_of).book
        if kept:
            _write(kept, found)
    return found


def digest(path: Path, builtin: Path) -> str:
    """The digest over all files of a rulebook and the layers below it, without compiling anything.

    For a folder it is the rulebook's own digest.
    """
    if path.is_dir():
        return digest_of(rulebook_files(path))
    found = hashlib.sha256()
    seen: set[Path] = set()
    while not path.is_dir() and path.resolve() not in seen:
        seen.add(path.resolve())
        data = path.read_bytes()
        found.update(f"{path.name}\0{len(data)}\0".encode() + data)
        path = _below(data, path, builtin)
    return hashlib.sha256(found.digest() + digest_of(rulebook_files(path)).encode()).hexdigest()


def layer_below(path: Path, builtin: Path) -> Path:
    """The layer that a house file lies on, without compiling anything."""
    return _below(path.read_bytes(), path, builtin)


def _below(data: bytes, path: Path, builtin: Path) -> Path:
    """The layer that a house file names; the built-in one where it names none that can be found."""
    unheard: list[Problem] = []
    node = load(data, path.name, unheard)
    entries = node.entries if isinstance(node, Map) else ()
    named = [value.text for key, value in entries if key.text == "based-on" and isinstance(value, Scalar)]
    beside = [path.parent / f"{name}{end}" for name in named for end in ("", ".yaml", ".yml")]
    return next((each for each in beside if each.exists()), builtin)


def _maker(path: Path, as_of: str) -> str:
    """What else decides how a rulebook compiles: the engine's files, and for a house file the day."""
    modules = sorted((*Path(__file__).parent.glob("*.py"), *Path(__file__).parent.parent.glob("reading/*.py")))
    stamps = [f"{module.name} {(stat := module.stat()).st_size} {stat.st_mtime_ns}" for module in modules]
    day = "" if path.is_dir() else as_of
    return f"{__version__}-{hashlib.sha256(repr((stamps, day)).encode()).hexdigest()[:12]}"


def _read(kept: Path) -> Rulebook | None:
    """A compiled rulebook, or None where there is none or it is damaged."""
    try:
        return msgspec.msgpack.decode(kept.read_bytes(), type=Rulebook, dec_hook=_decoded)
    except (OSError, msgspec.MsgspecError, UnicodeDecodeError, ValueError, ArithmeticError):
        return None


def _write(kept: Path, book: Rulebook) -> None:
    """Write beside and rename, so that no other run sees half a file; give up quietly."""
    with suppress(OSError):
        kept.parent.mkdir(parents=True, exist_ok=True)
        handle, name = mkstemp(dir=kept.parent, suffix=".part")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(msgspec.msgpack.encode(book, enc_hook=_encoded))
            os.replace(name, kept)
        except BaseException:
            with suppress(OSError):
                os.unlink(name)
            raise
        old = sorted(kept.parent.glob(f"*{SUFFIX}"), key=lambda each: each.stat().st_mtime_ns)
        for each in old[:-KEPT]:
            each.unlink(missing_ok=True)


def _encoded(value: object) -> object:
    if isinstance(value, Fraction):
        return [str(value.numerator), str(value.denominator)]
    raise NotImplementedError(f"{type(value).__name__} in a rulebook")


def _decoded(kind: type, value: Any) -> object:
    if kind is Fraction:
        above, below = value
        return Fraction(int(above), int(below))
    raise NotImplementedError(kind.__name__)
