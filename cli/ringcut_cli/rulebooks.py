"""Which rulebook a command uses, and where compiled ones are kept between runs."""

from __future__ import annotations

import os
from pathlib import Path

from ringcut.language.ir import Rulebook


def cache_folder() -> Path | None:
    """Where compiled rulebooks are kept: ``RINGCUT_CACHE`` (``off``: nowhere), else the user's own cache folder."""
    given = os.environ.get("RINGCUT_CACHE")
    if given is not None:
        return None if given.strip().lower() in ("", "off", "no", "0") else Path(given)
    base = os.environ.get("XDG_CACHE_HOME", "")
    # the XDG specification: a relative path there is to be ignored
    home = Path(base) if base and Path(base).is_absolute() else _home()
    return None if home is None else home / "ringcut"


def _home() -> Path | None:
    try:
        return Path.home() / ".cache"
    except RuntimeError:
        return None


def rulebook(folder: Path | None, as_of: str) -> Rulebook:
    """The rulebook at ``folder`` (None: the built-in one) in the edition that is in force on a day."""
    from ringcut.language.store import load_rulebook
    from ringcut.rulebookfiles import builtin_rulebook

    builtin = builtin_rulebook()
    if folder is not None and folder.is_file():
        from ringcut.language.editions import Shelf

        return Shelf(folder, builtin, cache_folder()).on(as_of)
    return load_rulebook(folder or builtin, cache_folder(), builtin=builtin, as_of=as_of)
