"""Which model procedures go with which rulebook."""

from __future__ import annotations

from pathlib import Path

from ringcut.draft.models import models_of
from ringcut.language.compile import compile_rulebook
from ringcut.language.ir import Rulebook
from ringcut.language.sources import read_sources

OWN = {
    "rulebook.yaml": 'rulebook: own\nedition: "1"\nin-force-from: 2000-01-01\nsubjects: {all: {says: everything}}\n',
    "vocabulary/words.yaml": "steps: {cut: {says: cut}, wrap: {says: wrap}}\n",
}


def test_a_rulebook_without_procedures_has_no_models(tmp_path: Path, book: Rulebook) -> None:
    """Symptom: a correction by a small rulebook of one's own ended in a thousand errors of the built-in models."""
    for name, text in OWN.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    own = compile_rulebook(read_sources(tmp_path))
    assert models_of(tmp_path, own) == []
    assert models_of(None, book) != []
