"""The built-in rulebook is found in a wheel and in a checkout."""

from __future__ import annotations

from pathlib import Path

import pytest

from ringcut import rulebookfiles


def package_in(folder: Path) -> Path:
    package = folder / "engine" / "ringcut"
    package.mkdir(parents=True)
    return package


def find(monkeypatch: pytest.MonkeyPatch, package: Path) -> Path:
    monkeypatch.setattr(rulebookfiles, "files", lambda name: package)
    return rulebookfiles.builtin_rulebook()


def test_in_a_checkout_it_lies_beside_the_engine(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    package = package_in(tmp_path)
    (tmp_path / "rulebook").mkdir()
    assert find(monkeypatch, package) == tmp_path / "rulebook"


def test_in_a_wheel_it_lies_in_the_package(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A folder that happens to lie beside the installed packages is not ours."""
    package = package_in(tmp_path)
    (tmp_path / "rulebook").mkdir()
    (package / "rulebook").mkdir()
    assert find(monkeypatch, package) == package / "rulebook"


def test_a_damaged_installation_is_told_with_both_places(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    package = package_in(tmp_path)
    with pytest.raises(FileNotFoundError) as told:
        find(monkeypatch, package)
    assert str(package / "rulebook") in str(told.value)
    assert str(tmp_path / "rulebook") in str(told.value)
