"""Wear is taken of the bar that a chain is made of, which its size in inches may not be.

Welded steel chain specifications: the bar of 7/16 in chain of grades 30, 43 and 70 is 0.468 in
(11.9 mm), that of 5/16 in chain 0.331 in (8.4 mm); of grades 80 and 100 5/16 in is 8 mm. EN 818-6,
annex A, and DGUV Information 209-021: no less than 0.9 of the nominal diameter.
"""

from __future__ import annotations

import pytest

from tallyhook.use.limits import limits


def _least(size: str, grade: int | None) -> float | None:
    card = limits("chain", size=size, grade=grade, documents=("dguv-209-021",))
    return next(r.limit for r in card.limits if r.measure == "link")


@pytest.mark.parametrize(
    ("size", "grade", "bar"),
    [
        ("7/16 in", 43, 11.9),
        ("7/16 in", 70, 11.9),
        ("7/16 in", None, 11.9),
        ("11 mm", 43, 11.9),
        ("5/16 in", 43, 8.4),
        ("5/16 in", 80, 8.0),
        ("5/16 in", 100, 8.0),
        ("5/16 in", None, 8.4),  # the grade is not said: the thickest bar counts
        ("8 mm", None, 8.0),  # a metric size is the bar
        ("10 mm", 80, 10.0),
        ("3/8 in", 43, 10.0),
    ],
)
def test_the_least_link_is_nine_tenths_of_the_bar(size: str, grade: int | None, bar: float) -> None:
    assert _least(size, grade) == pytest.approx(0.9 * bar)


def test_a_bar_of_11_9_mm_is_not_worn_down_to_9_9() -> None:
    # 17 percent of wear was within the limit
    card = limits("chain", size="7/16 in", grade=43, measured={"link": 9.9})
    assert {r.source for r in card.past} >= {"en-818-6", "dguv-209-021", "qld-doggers-guide"}
    assert not limits("chain", size="7/16 in", grade=43, measured={"link": 10.72}).past
    assert "grade 43" in card.to_text() and "11.9 mm" in card.to_text()


def test_a_bar_that_is_known_from_memory_allows_no_more_wear() -> None:
    # 10 percent of 11 mm and not of 11.9 mm, whose row is recalled
    card = limits("chain", size="7/16 in", grade=43, measured={"wear": 1.15})
    assert {r.source for r in card.past} >= {"en-818-6", "dguv-209-021"}
    assert not limits("chain", size="7/16 in", grade=43, measured={"wear": 1.1}).past
