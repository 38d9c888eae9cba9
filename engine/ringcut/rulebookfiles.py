"""Where the built-in rulebook lies.

In the wheel the rulebook is a folder of the package. In a checkout, which an editable installation runs from,
it is the folder ``rulebook`` beside ``engine``: its authors work there and never open a Python package.
"""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path


def builtin_rulebook() -> Path:
    """Return the folder of the rulebook that comes with Ringcut.

    Raises FileNotFoundError, naming both places, when neither holds one: the installation is damaged.
    """
    return _first_folder(*_candidates(Path(str(files("ringcut")))))


def _candidates(package: Path) -> tuple[Path, Path]:
    return package / "rulebook", package.parent.parent / "rulebook"


def _first_folder(packaged: Path, checkout: Path) -> Path:
    for folder in (packaged, checkout):
        if folder.is_dir():
            return folder
    raise FileNotFoundError(f"no rulebook came with this installation: neither {packaged} nor {checkout} exists")
