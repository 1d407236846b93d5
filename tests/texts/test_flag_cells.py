"""Cells of yes-or-no columns: the heading says what it is that is fitted, or is not.

Common practice of lists in four languages, no source.
"""

from __future__ import annotations

import pytest

from tallyhook.texts.flags import read_flag
from tallyhook.texts.numbers import read_number

FLAGS = pytest.mark.parametrize("flag", ["latch", "cradle", "overhead"])


@FLAGS
@pytest.mark.parametrize(
    ("cell", "value"),
    [
        ("included", "yes"), ("fitted", "yes"), ("inclus", "yes"), ("vorhanden", "yes"),
        ("incluido", "yes"), ("not fitted", "no"), ("not included", "no"), ("missing", "no"),
        ("nicht vorhanden", "no"),
    ],
)  # fmt: skip
def test_a_cell_may_say_that_it_is_there(cell: str, value: str, flag: str) -> None:
    assert read_flag(cell, flag) == (value, None)


@pytest.mark.parametrize("flag", ["latch", "cradle"])
@pytest.mark.parametrize("cell", ["optional", "on request", "auf Wunsch"])
def test_what_may_be_had_or_not_is_read_and_says_neither(cell: str, flag: str) -> None:
    assert read_flag(cell, flag) == (None, None)


@FLAGS
@pytest.mark.parametrize(
    "cell",
    [
        "maybe",
        "yes?",
        "included?",
        "red",
        "7",
        "see drawing",
        "***",
        "y/n",
        "yes/no",
        "yes no",
        "lifting",
        "?",
    ],
)
def test_what_says_neither_is_told(cell: str, flag: str) -> None:
    value, note = read_flag(cell, flag)
    assert value is None
    assert note is not None
    assert cell in note


@pytest.mark.parametrize(
    ("text", "value"),
    [("1 176,8", 1176.8), ("1 176.85", 1176.85), ("12 000", 12000.0), ("2 316 500,5", 2316500.5)],
)
def test_thousands_behind_spaces_may_have_decimals(text: str, value: float) -> None:
    number = read_number(text)
    assert number is not None
    assert number.value == value


@pytest.mark.parametrize("text", ["1 176,855", "1 17,8", "1 176,8 5", "0 176,8"])
def test_what_is_no_group_of_thousands_is_no_number(text: str) -> None:
    assert read_number(text) is None


@pytest.mark.parametrize("cell", ["no no", "nein nein", "yes yes no", "no no latch"])
def test_an_answer_that_is_said_twice_is_told(cell: str) -> None:
    value, note = read_flag(cell, "latch")
    assert value == "no" or (value is None and note is not None)
