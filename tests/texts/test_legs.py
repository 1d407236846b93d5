"""Legs and angles. EN 818-4 gives 0 to 45 and 45 to 60 degrees to the vertical; American sling
charts count from the horizontal (OSHA guidance on safe sling use), so that 60 degrees there is 30
to the vertical. The type symbols are common practice of the trade.
"""

from __future__ import annotations

import pytest

from tallyhook.texts.description import describe
from tallyhook.texts.legs import read_angle, read_legs
from tallyhook.texts.scan import Context


@pytest.mark.parametrize(
    ("text", "legs"),
    [
        ("1", 1), ("2-leg", 2), ("2 legs", 2), ("two leg", 2), ("double", 2), ("Dbl", 2), ("single leg", 1), ("triple", 3), ("quad", 4), ("4 Leg", 4),
        ("2-strängig", 2), ("zweisträngig", 2), ("4-Strang", 4), ("2 brins", 2), ("quatre brins", 4), ("1 brin", 1), ("2 ramales", 2), ("un ramal", 1),
        ("SOS", 1), ("DOG", 2), ("TOF", 3), ("QOL", 4), ("ADOS", 2), ("ASOG", 1),
    ],
)  # fmt: skip
def test_a_number_of_legs_is_read(text: str, legs: int) -> None:
    assert read_legs(text).legs == legs


@pytest.mark.parametrize("text", ["3-4", "3/4-leg", "3 & 4 leg", "5", "many", "2 or 3 legs"])
def test_what_is_no_one_number_of_legs_is_not_read(text: str) -> None:
    read = read_legs(text)
    assert read.legs is None and read.note is not None


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("0-45", 0, 45), ("0-45°", 0, 45), ("0° bis 45°", 0, 45), ("0° à 45°", 0, 45), ("45° < β ≤ 60°", 45, 60), ("45°-60°", 45, 60), ("45 to 60 deg", 45, 60),
        ("45", None, 45), ("bis 45°", 0, 45), ("60 deg to the horizontal", None, 30), ("30 degrees from horizontal", None, 60),
        ("45-60° from horizontal", 30, 45), ("included angle 90°", None, 45), ("30° to the vertical", None, 30),
    ],
)  # fmt: skip
def test_an_angle_is_given_to_the_vertical(text: str, low: float | None, high: float) -> None:
    read = read_angle(text)
    assert (read.from_deg, read.to_deg) == (low, high)


@pytest.mark.parametrize(("degrees", "vertical"), [(60, 30), (45, 45), (30, 60)])
def test_an_american_chart_counts_from_the_horizontal(degrees: int, vertical: int) -> None:
    assert read_angle(f"{degrees}°", context=Context(system="us")).to_deg == vertical


@pytest.mark.parametrize("text", ["60°", "30 deg", "90°", "120°", "0-90°", "60-90 deg"])
def test_an_angle_from_an_unsaid_line_is_not_read(text: str) -> None:
    read = read_angle(text)
    assert read.to_deg is None and read.note is not None


def test_legs_and_angle_are_read_from_a_description() -> None:
    read = describe("2-leg chain sling 10 mm G8, 0-45°, WLL 4.25 t")  # EN 818-4, 10 mm grade 8
    assert (read.kind, read.legs, read.angle_from_deg, read.angle_to_deg) == ("sling", 2, 0, 45)
    read = describe('DOG 3/8" G80 60 deg 12,300 lb')
    assert (read.kind, read.legs, read.angle_to_deg) == ("sling", 2, 30)


@pytest.mark.parametrize(
    "text",
    [
        "double clevis hook 3/8",
        "DOG LEASH CHAIN",
        "LOG DOG",
        "chain -40 °C to 200 °C",
        "hook 400°F",
        "quad pack of hooks",
    ],
)
def test_other_doubles_dogs_and_degrees_are_none(text: str) -> None:
    read = describe(text)
    assert read.legs is None and read.angle_to_deg is None
