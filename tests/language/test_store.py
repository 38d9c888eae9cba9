"""Compiled rulebooks come back from the cache as they went in, and a damaged cache is as good as none."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from ringcut.language.sources import read_sources
from ringcut.language.store import KEPT, SUFFIX, digest, load_rulebook
from ringcut.rulebookfiles import builtin_rulebook

HOUSE = """rulebook: Quillbridge district
edition: "1"
based-on: base-practice
in-force-from: 2026-03-01
"""


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("compiled")


def kept(cache: Path) -> list[Path]:
    return sorted(cache.glob(f"*{SUFFIX}"))


def test_what_comes_back_is_what_was_compiled(cache: Path) -> None:
    folder = builtin_rulebook()
    first = load_rulebook(folder, cache)
    assert len(kept(cache)) == 1
    assert load_rulebook(folder, cache) == first == load_rulebook(folder)


def test_the_key_is_the_digest_that_the_rulebook_carries(cache: Path) -> None:
    folder = builtin_rulebook()
    assert digest(folder, folder) == read_sources(folder).digest == load_rulebook(folder, cache).digest


@pytest.mark.parametrize("damage", [b"", b"\xc1", b"\x80", b"not a rulebook", None])
def test_a_damaged_cache_is_ignored_and_mended(damage: bytes | None, cache: Path) -> None:
    folder = builtin_rulebook()
    whole = load_rulebook(folder, cache)
    (file,) = kept(cache)
    good = file.read_bytes()
    file.write_bytes(good[: len(good) // 2] if damage is None else damage)
    assert load_rulebook(folder, cache) == whole
    assert file.read_bytes() == good


def test_a_changed_file_is_compiled_anew(tmp_path: Path) -> None:
    folder = tmp_path / "rulebook"
    shutil.copytree(builtin_rulebook(), folder)
    cache = tmp_path / "cache"
    before = load_rulebook(folder, cache)
    title = folder / "rulebook.yaml"
    title.write_text(title.read_text(encoding="utf-8").replace('edition: "1"', 'edition: "2"'), encoding="utf-8")
    after = load_rulebook(folder, cache)
    assert (before.edition, after.edition) == ("1", "2")
    assert len(kept(cache)) == 2


def test_a_house_file_is_kept_by_its_layers_and_the_day(tmp_path: Path) -> None:
    house, cache, below = tmp_path / "house.yaml", tmp_path / "cache", builtin_rulebook()
    house.write_text(HOUSE)
    first = load_rulebook(house, cache, builtin=below, as_of="2026-03-04")
    assert first.name == "Quillbridge district"
    assert load_rulebook(house, cache, builtin=below, as_of="2026-03-04") == first
    assert len(kept(cache)) == 1
    load_rulebook(house, cache, builtin=below, as_of="2026-03-05")
    assert len(kept(cache)) == 2
    assert digest(house, below) != digest(below, below)


def test_house_files_based_on_each_other_do_not_hang(tmp_path: Path) -> None:
    for one, other in (("a", "b"), ("b", "a")):
        (tmp_path / f"{one}.yaml").write_text(HOUSE.replace("base-practice", other))
    assert digest(tmp_path / "a.yaml", builtin_rulebook())


def test_a_folder_that_cannot_be_made_is_no_error(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    assert load_rulebook(builtin_rulebook(), tmp_path / "file" / "cache").rules


def test_old_ones_go(cache: Path) -> None:
    for number in range(KEPT + 3):
        (cache / f"{number:02d}{SUFFIX}").write_bytes(b"")
    for each in kept(cache):
        if len(each.stem) > 2:
            each.unlink()
    load_rulebook(builtin_rulebook(), cache)
    assert len(kept(cache)) == KEPT


def test_a_warm_start_needs_no_parser_and_no_units(cache: Path) -> None:
    folder = builtin_rulebook()
    load_rulebook(folder, cache)
    code = f"""
import sys
from pathlib import Path
from ringcut.language.store import load_rulebook
load_rulebook(Path({str(folder)!r}), Path({str(cache)!r}))
print(sorted({{"lark", "pint", "networkx"}} & set(sys.modules)))
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"
