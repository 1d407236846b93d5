"""Rough numbers and loads of cells."""

from __future__ import annotations

import pytest

from tallyhook.recognising.rough import (
    middle_kilograms,
    rough_kilograms,
    rough_number,
    share_near,
)


@pytest.mark.parametrize(
    ("cell", "number"),
    [
        ("7100", 7100),
        ("7,100 lb", 7100),
        ("12.000", 12000),
        ("1'250", 1250),
        ("3,15 t", 3.15),
        ("WLL 5", 5),
        ("red", None),
        ("", None),
        ("1.2.3", None),
    ],
)
def test_numbers(cell: str, number: float | None) -> None:
    assert rough_number(cell) == number


def test_kilograms() -> None:
    # 1 lb is 0.45359237 kg (1959), 1 kN pulls as 101.97 kg under standard gravity
    assert rough_kilograms("1,000 lb") == pytest.approx(453.59, abs=0.01)
    assert rough_kilograms("10 kN") == pytest.approx(1019.7, abs=0.1)
    # a ton of unknown kind lies between the short one (907 kg) and the metric one
    assert 907 < (rough_kilograms("1 ton") or 0) < 1000
    assert rough_kilograms("7100") is None


def test_the_middle_and_the_share() -> None:
    assert middle_kilograms(["1 t", "3 t", "2 t", "red"]) == 2000
    assert middle_kilograms(["red"]) == 0
    assert share_near([2.2, 2.21, 4.0, 2.2], 2.2046) == 0.75
    assert share_near([], 2.2046) == 0
