"""What a user says of a job, read: grades, sizes, legs, angles, loads, lengths."""

from __future__ import annotations

import pytest

from tallyhook.use.result import UseRefused
from tallyhook.use.terms import (
    grade_number,
    length_mm,
    load_kg,
    nominal_size,
    sling_configuration,
    to_vertical,
)


def test_words_are_read_once() -> None:
    assert grade_number("G 100".replace(" ", "")) == grade_number(10) == 100
    assert nominal_size('3/8"') == (10.0, "3/8 in")  # 49 CFR 393.108: 3/8 in is 10 mm
    assert nominal_size("1 1/4 in")[0] == 32
    assert length_mm("1-3/8 in") == pytest.approx(1.375 * 25.4)
    assert load_kg("2 short tons") == pytest.approx(2 * 2000 * 0.45359237)


@pytest.mark.parametrize("text", ["2 tons", "2", "heavy", "1,5 t", "-3 t"])
def test_a_load_that_is_not_clear_is_refused(text: str) -> None:
    with pytest.raises(UseRefused):
        load_kg(text)


@pytest.mark.parametrize("text", ["1 1 in", "1/0 in", "wide", "3 ft", "1 35 mm"])
def test_a_length_that_is_not_clear_is_refused(text: str) -> None:
    with pytest.raises(UseRefused):
        length_mm(text)


@pytest.mark.parametrize("size", ["3/9", "10 in", "0", "ten", 11.5])
def test_a_size_that_no_table_has_is_refused(size: float | str) -> None:
    with pytest.raises(UseRefused):
        nominal_size(size)


@pytest.mark.parametrize(
    ("angle", "reference"),
    [(90, "vertical"), (-1, "vertical"), (0, "horizontal"), (180, "included"), (20, "north")],
)
def test_an_angle_that_no_leg_hangs_at_is_refused(angle: float, reference: str) -> None:
    with pytest.raises(UseRefused):
        to_vertical(angle, reference)


@pytest.mark.parametrize(
    ("said", "grade"),
    # European documents number the grades 4, 6, 8, 10 (ISO 4778, ISO 3075, EN 818); 12 is common
    # practice, no source
    [(4, 40), (6, 60), (8, 80), (10, 100), (12, 120), (43, 43), ("g80", 80), ("Grade 100", 100)],
)
def test_a_grade_is_read_by_its_number(said: int | str, grade: int) -> None:
    assert grade_number(said) == grade


@pytest.mark.parametrize("said", ["eighty", "80 or 100", "", "G", -80, 80.5])
def test_a_grade_that_is_no_number_is_refused(said: object) -> None:
    with pytest.raises(UseRefused, match="is no grade"):
        grade_number(said)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("said", "configuration"),
    [
        (1, "1-leg"), ("4", "4-leg"), ("2-leg", "2-leg"), ("Single", "1-leg"), ("double", "2-leg"),
        ("triple", "3-leg"), ("quad", "4-leg"), ("endless", "endless"),
    ],
)  # fmt: skip
def test_a_sling_is_named_by_its_legs(said: int | str, configuration: str) -> None:
    assert sling_configuration(said) == configuration


@pytest.mark.parametrize("said", [0, 5, "many", "", -1, 2.5])
def test_a_sling_that_no_table_has_is_refused(said: object) -> None:
    with pytest.raises(UseRefused, match="no table has a sling of"):
        sling_configuration(said)  # type: ignore[arg-type]
