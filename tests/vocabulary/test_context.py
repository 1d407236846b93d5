"""Words that say how the text beside them is read: every use that the code asks for has words."""

from __future__ import annotations

import ast
from pathlib import Path

from tallyhook.vocabulary.context import head_first, length_units, units_with, words_for
from tallyhook.vocabulary.lexicon import rows

ROOMS = Path(__file__).resolve().parents[2] / "validators" / "tallyhook"


def _asked_for() -> set[str]:
    """Give the uses that stand in the code as literals."""
    found = set()
    for path in ROOMS.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                name = getattr(node.func, "attr", None) or getattr(node.func, "id", None)
                if name in ("words_for", "phrases_for", "means"):
                    found |= {
                        str(a.value)
                        for a in node.args
                        if isinstance(a, ast.Constant) and isinstance(a.value, str)
                    }
    return found


def test_every_use_that_the_code_asks_for_has_words() -> None:
    uses = {str(row["use"]) for row in rows("context-words")}
    assert _asked_for() <= uses


def test_every_word_of_a_table_has_a_language_of_the_list() -> None:
    known = {str(row["language"]) for row in rows("languages")}
    tables = ("context-words", "denial-words", "flag-words", "kind-words", "headings", "units")
    assert {str(r["language"]) for table in tables for r in rows(table)} <= known


def test_nouns_stand_first_in_french_and_spanish() -> None:
    # common knowledge: crochet de chaîne, gancho de cadena; Kettenhaken, chain hook
    assert head_first() == {"fr", "es"}


def test_words_of_one_use_may_be_asked_for_together() -> None:
    assert {"to", "bis", "und", "or"} <= words_for("range", "and", "or")
    assert "in" in length_units() - length_units(sure=True)
    assert {"lb", "lbs", "pound"} <= units_with(unit="lb")
