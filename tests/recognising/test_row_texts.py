"""What the text of a line says in four languages; each is plain to a reader."""

from __future__ import annotations

import polars as pl
import pytest

from tallyhook.recognising.row_texts import (
    heads_group,
    is_note,
    is_sentence,
    is_total,
    names_goods,
    names_size,
    opens_with_total,
    says_grade,
)

TOTALS = ("Total", "TOTAL:", "Grand total", "Subtotal", "Summe", "Zwischensumme", "Übertrag",
          "Sous-total", "Total général", "Suma", "Total parcial", "- Total -")  # fmt: skip
NO_TOTALS = ("Totally alloy chain", "Chain total loss", "Summit hook", "Sumario")


@pytest.mark.parametrize("text", TOTALS)
def test_totals(text: str) -> None:
    assert is_total(text)
    assert pl.DataFrame({"c0": [text]}).select(opens_with_total("c0")).item()


@pytest.mark.parametrize("text", NO_TOTALS)
def test_words_that_only_begin_like_a_total(text: str) -> None:
    assert not is_total(text)
    assert not pl.DataFrame({"c0": [text]}).select(opens_with_total("c0")).item()


@pytest.mark.parametrize(
    "text",
    [
        "* Prices on request",
        "1) for one leg",
        "See page 12",
        "Never exceed the rating!",
        "All loads are for one leg.",
        "Hinweis: nur für Ketten",
        "Remarque : charges en kg",
        "Nota",
        "Ratings hold for new chain between minus forty and two hundred degrees and for one leg only",
    ],
)
def test_notes(text: str) -> None:
    assert is_note(text)


@pytest.mark.parametrize("text", ["Clevis hooks", "GRADE 80", "Haken", "10 mm chain"])
def test_headings_of_groups_are_no_notes(text: str) -> None:
    assert not is_note(text) and not is_sentence(text)


@pytest.mark.parametrize(
    "text", ["Grade 100 on request", "Nur Güteklasse 10 lieferbar", "Classe 10 sur demande"]
)
def test_a_verb_makes_a_sentence(text: str) -> None:
    assert is_sentence(text) and not heads_group(text, alone=False)


@pytest.mark.parametrize(
    ("text", "grade", "goods", "size"),
    [
        ("GRADE 80", True, True, False),
        ("Gk 10 Ketten", True, True, False),
        ("Classe 8", True, True, False),
        ("Clase 80", True, True, False),
        ("Clevis hooks", False, True, False),
        ("Chaînes 10 mm", False, True, True),
        ("Stock list", False, False, False),
        ("Page 80", False, False, False),
    ],
)
def test_what_a_line_names(text: str, grade: bool, goods: bool, size: bool) -> None:
    assert (says_grade(text), names_goods(text), names_size(text)) == (grade, goods, size)


@pytest.mark.parametrize(
    ("text", "among_cells", "among_texts"),
    [
        ("GRADE 80", True, True),
        ("Eye hooks:", True, True),
        ("Eye hooks", True, False),  # in a list of single texts it can be an item
        ("SHELF NINE", True, False),
        ("CHAIN 10 MM", True, False),
        ("hook, 7,100 lb", False, False),
        ("7100", False, False),
        ("Total", False, False),
        ("A" * 61, False, False),
    ],
)
def test_what_heads_a_group(text: str, among_cells: bool, among_texts: bool) -> None:
    assert heads_group(text, alone=False) == among_cells
    assert heads_group(text, alone=True) == among_texts
