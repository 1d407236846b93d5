"""No word of a language that is read stands in code."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest

SCRIPT = Path(__file__).resolve().parents[2] / "scripts" / "words_in_code.py"


@pytest.fixture(scope="module")
def script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("words_in_code", SCRIPT)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_no_word_of_the_vocabulary_stands_in_code(script: ModuleType) -> None:
    assert script.words_in_code() == []


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        ('if word == "ohne":\n    pass', ["ohne"]),
        ('WORDS = ("kein", "wll", "aucun")', ["kein", "aucun"]),  # wll is the role of a column
        ('P = r"\\b(?:ohne|Güteklasse)\\s*\\d"', ["ohne", "Güteklasse"]),
        ('def f():\n    """Without latch, ohne."""\n    return say("without")', []),
        ('frame.select(pl.col("hook"), "bolt")', []),  # names of columns
        ('__all__ = ["with"]', []),
    ],
)
def test_a_word_in_code_is_found_and_a_name_is_not(
    script: ModuleType, tmp_path: Path, source: str, expected: list[str]
) -> None:
    (tmp_path / "texts").mkdir()
    (tmp_path / "texts" / "module.py").write_text(source, encoding="utf-8")
    assert [each.word for each in script.words_in_code(tmp_path)] == expected
