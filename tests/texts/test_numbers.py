"""Numbers of lists, against ISO 80000-1 (clause 7.3: decimal sign and grouping) and arithmetic."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tallyhook.texts.numbers import read_number


@pytest.mark.parametrize(
    ("text", "value", "step"),
    [
        ("7100", 7100, 100),
        ("12 000", 12000, 1000),  # grouping by a small space: ISO 80000-1, 7.3.1
        ("12\u202f000", 12000, 1000),
        ("1,234,567", 1234567, 1),
        ("1.234.567", 1234567, 1),
        ("1.234,56", 1234.56, 0.01),
        ("1,234.56", 1234.56, 0.01),
        ("4'250", 4250, 10),
        ("3,15", 3.15, 0.01),
        ("3.0", 3.0, 0.1),
        (".375", 0.375, 0.001),
        ("0,500", 0.5, 0.001),
        ("3/8", 0.375, 1 / 8),
        ("1-1/4", 1.25, 1 / 4),
        ("1 1/4", 1.25, 1 / 4),
        ("1½", 1.5, 1 / 2),
        ("⅜", 0.375, 1 / 8),
    ],
)
def test_a_number_has_the_value_and_step_it_is_written_with(
    text: str, value: float, step: float
) -> None:
    read = read_number(text)
    assert read is not None
    assert (read.value, read.step, read.other) == (value, step, None)


@pytest.mark.parametrize(
    "text",
    ["", "-", "1E3", "nan", "10.10.2024", "2026-03-08", "1/2/4", "5/6", "12 00", "1.2.3", "3/0"],
)
def test_what_is_no_number_is_not_read(text: str) -> None:
    assert read_number(text) is None


@pytest.mark.parametrize(
    ("text", "decimal", "value"),
    [("4.250", ".", 4.25), ("4.250", ",", 4250), ("7,100", ".", 7100), ("7,100", ",", 7.1)],
)
def test_the_decimal_mark_of_the_list_decides_what_three_digits_after_a_mark_are(
    text: str, decimal: str, value: float
) -> None:
    read = read_number(text, decimal=decimal)
    assert read is not None and read.value == value and read.other is not None


def test_without_a_decimal_mark_both_readings_are_kept() -> None:
    read = read_number("4.250")
    assert read is not None and {read.value, read.other} == {4.25, 4250.0}


@given(st.integers(0, 10**9))
def test_every_integer_comes_back_in_each_grouping(number: int) -> None:
    for written in (
        f"{number}",
        f"{number:,}",
        f"{number:,}".replace(",", "."),
        f"{number:,}".replace(",", "'"),
    ):
        read = read_number(written)
        assert read is not None and number in (read.value, read.other)


@given(st.integers(1, 40), st.sampled_from([2, 4, 8, 16, 32]), st.data())
def test_every_mixed_fraction_comes_back(whole: int, below: int, data: st.DataObject) -> None:
    above = data.draw(st.integers(1, below - 1).filter(lambda n: n % 2 == 1))
    read = read_number(f"{whole}-{above}/{below}")
    assert read is not None and read.value == whole + above / below
