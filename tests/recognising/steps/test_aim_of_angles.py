"""To the horizontal a larger angle carries more, to the vertical it carries less.

The pull in a leg is the load by the sine of its angle to the horizontal.
"""

from __future__ import annotations

import pytest

from column_evidence import Evidence
from tallyhook.recognising.steps.aim_of_angles import aim_of_angles


@pytest.mark.parametrize(
    ("loads", "line"),
    [
        ({"30": "7100", "45": "10000", "60": "12300"}, "horizontal"),
        ({"0-45": "2800", "45-60": "2000"}, "vertical"),
    ],
)
def test_the_run_of_the_ratings_says_it(loads: dict[str, str], line: str) -> None:
    given = Evidence(*((f"2-leg {angle}°", (load, load)) for angle, load in loads.items()))
    for place, angle in enumerate(loads):
        given.known(place, "wll", gives={"legs": "2", "angle": angle})
    found = aim_of_angles(given.columns, given.table)
    assert [c.gives for c in found] == [{"legs": "2", "angle": f"{a} to {line}"} for a in loads]
    assert found[0].why == f"said before, angle to {line} by the run of the ratings"


def test_equal_ratings_and_a_single_angle_say_nothing() -> None:
    given = Evidence(("45", ("2000", "3150")), ("60", ("2000", "3150")))
    given.known(0, "wll", gives={"angle": "45"}).known(1, "wll", gives={"angle": "60"})
    assert aim_of_angles(given.columns, given.table) == given.columns
    one = Evidence(("45", ("2000", "3150"))).known(0, "wll", gives={"angle": "45"})
    assert aim_of_angles(one.columns, one.table) == one.columns


def test_angles_that_say_it_themselves_are_left_alone() -> None:
    given = Evidence(("45", ("2000", "2000")), ("60", ("3150", "3150")))
    given.known(0, "wll", gives={"angle": "45 to vertical"})
    given.known(1, "wll", gives={"angle": "60 to vertical"})
    assert aim_of_angles(given.columns, given.table) == given.columns


def test_only_ratings_of_one_unit_are_compared() -> None:
    given = Evidence(("45", ("2000", "3150")), ("60", ("4400", "6900")))
    given.known(0, "wll", unit="kg", gives={"angle": "45"})
    given.known(1, "wll", unit="lb", gives={"angle": "60"})
    assert aim_of_angles(given.columns, given.table) == given.columns
