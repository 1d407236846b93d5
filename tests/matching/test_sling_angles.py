"""The angle of a sling in a list: from which line it counts, and beyond which nothing is compared.

EN 818-4, table 3, two legs of 10 mm grade 8: 4.25 t to 45 degrees to the vertical, 3.15 t to 60,
and none beyond.
"""

from __future__ import annotations

import pytest

from checked_lists import checked_row, rules_of


@pytest.mark.parametrize("angle", ["65 degrees to the vertical", "140 degrees included"])
def test_an_angle_beyond_sixty_degrees_is_not_compared(angle: str) -> None:
    report = checked_row(f"2-leg chain sling, {angle}", "4250")
    assert report.counts["not_compared"] == 1


@pytest.mark.parametrize(
    ("heading", "fits", "other"),
    [
        # 60 deg to the horizontal, and 60 between two legs, are 30 deg to the vertical
        ("Angle to horizontal", "4250", "3150"),
        ("Included angle", "4250", "3150"),
        ("Angle from vertical", "3150", "4250"),
    ],
)
def test_a_heading_says_from_where_its_angles_count(heading: str, fits: str, other: str) -> None:
    assert checked_row("2-leg chain sling", fits, **{heading: "60"}).counts["agree"] == 1
    assert checked_row("2-leg chain sling", other, **{heading: "60"}).counts["contradicted"] == 1


def test_a_bare_75_degrees_that_fits_one_reading_alone_is_a_warning() -> None:
    # 75 deg to the horizontal is 15 to the vertical; 75 between two legs is 37.5. ASME B30.9 charts
    # of 3/8 in grade 80: 12,300 lb at 60 deg to the horizontal, 10,000 lb at 45
    report = checked_row("2-leg chain sling, 75 degrees", "12300", "WLL (lb)", Size="3/8 in")
    assert "angle-reference-is-not-said" in rules_of(report)
    strict = checked_row("2-leg chain sling, 75 degrees", "10000", "WLL (lb)", Size="3/8 in")
    assert "angle-reference-is-not-said" not in rules_of(strict)
