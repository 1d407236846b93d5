"""A rating written as a force is that rating however many digits the force, or its mass, is given.

EN 818-2 rates chain of grade 8: 8 mm at 2 t, 13 mm at 5.3 t, 16 mm at 8 t. With 1 kg = 9.80665 N
(ISO 80000-3) that is 19.613, 51.975 and 78.453 kN.
"""

from __future__ import annotations

import pandas as pd
import pytest

import tallyhook


def outcome(size: str, load: str) -> str:
    frame = pd.DataFrame(
        {
            "Item": ["Chain grade 8"] * 3,
            "Size": ["10 mm", "20 mm", size],
            "WLL": ["3150 kg", "12500 kg", load],
        }
    )
    return str(tallyhook.check(frame).items["outcome"].iloc[-1])


@pytest.mark.parametrize(
    ("size", "load"),
    [
        ("8 mm", "19.6 kN"), ("8 mm", "19.60 kN"), ("8 mm", "19.600 kN"), ("8 mm", "19.61 kN"),
        ("8 mm", "1960 daN"), ("8 mm", "1998.6 kg"), ("16 mm", "78.5 kN"), ("16 mm", "78.50 kN"),
        ("16 mm", "8004.8 kg"), ("16 mm", "8004.77 kg"), ("16 mm", "8005 kg"),
        ("16 mm", "8.0048 t"), ("16 mm", "78500 N"), ("13 mm", "52.0 kN"), ("13 mm", "5302.5 kg"),
        ("16 mm", "17648 lb"),
    ],
)  # fmt: skip
def test_a_rounded_force_is_the_rating_in_any_unit_and_with_any_digits(
    size: str, load: str
) -> None:
    assert outcome(size, load) == "agree"


@pytest.mark.parametrize(
    ("size", "load"),
    [
        ("8 mm", "19.50 kN"), ("13 mm", "51.90 kN"), ("16 mm", "78.6 kN"), ("16 mm", "8015 kg"),
        ("16 mm", "8007.3 kg"), ("16 mm", "8008 kg"), ("16 mm", "78.60 kN"),
        ("16 mm", "8156 kg"),
    ],
)  # fmt: skip
def test_any_other_force_is_not(size: str, load: str) -> None:
    assert outcome(size, load) == "contradicted"
