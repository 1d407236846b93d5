"""An American angle is measured to the horizontal, a European one to the vertical.

OSHA, Guidance on Safe Sling Use, table 1: 3/8 in of grade 80, two legs: 12,300 lb at 60 degrees to the
horizontal, 7,100 lb at 30. Whoever writes 30 may mean either; `check` asks, and so does `in-use`.
"""

from __future__ import annotations

from typing import Any

import pytest

from command_line import here
from tallyhook.use.result import UseRefused
from tallyhook.use.run import in_use

TWO: dict[str, Any] = {"by": "us", "grade": 80, "size": "3/8 in", "legs": 2}


def test_an_american_angle_without_its_reference_is_asked_for_with_both_answers() -> None:
    with pytest.raises(UseRefused, match=r"7,100 lb.* to the horizontal.* 12,300 lb.* vertical"):
        in_use(**TWO, angle=30)
    with pytest.raises(UseRefused, match="--angle-to"):
        in_use(**TWO, angle=[30, 35])
    # 60 to the vertical is 7,100 lb, and below 30 to the horizontal nothing is rated
    with pytest.raises(UseRefused, match="no rating to the horizontal"):
        in_use(**TWO, angle=20)


@pytest.mark.parametrize(("angle_to", "pounds"), [("horizontal", 7100), ("vertical", 12300)])
def test_with_its_reference_it_is_answered(angle_to: str, pounds: float) -> None:
    assert in_use(**TWO, angle=30, angle_to=angle_to).wll_lb == pytest.approx(pounds)


def test_where_both_come_to_the_same_nothing_is_asked() -> None:
    assert in_use(**TWO, angle=45).wll_lb == pytest.approx(10000)
    one = TWO | {"legs": 1}
    assert in_use(**one, angle=90).wll_lb == pytest.approx(7100)  # to the vertical no leg hangs so
    assert in_use(**one).wll_lb == pytest.approx(7100)
    assert in_use(**one, angle=0).wll_lb == pytest.approx(7100)  # nor any to the horizontal


def test_european_and_australian_angles_are_to_the_vertical() -> None:
    # EN 818-4, table 3
    assert in_use(grade=80, size=10, legs=2, angle=30).wll_kg == pytest.approx(4250)
    assert in_use(by="australian", grade=80, size=10, legs=2, angle=30).wll_kg is not None


def test_the_command_asks_in_one_sentence_and_ends_with_2() -> None:
    words = "in-use --by us --grade 80 --size 3/8 --legs 2 --angle 30"
    asked = here(*words.split())
    assert asked.returncode == 2
    message = " ".join(asked.stderr.split())
    assert "7,100 lb" in message and "12,300 lb" in message and "--angle-to" in message
    assert "Traceback" not in message and asked.stderr.count("\n") <= 6
    assert here(*words.split(), "--angle-to", "horizontal").returncode == 0
