"""Ratings without a unit take the one that is named, or written beside the table, or by ratio."""

from __future__ import annotations

from column_evidence import LOADS, NUMBERS, SIZES, Evidence
from tallyhook.recognising.steps.units_around import units_around


def test_the_unit_that_the_user_names() -> None:
    given = Evidence(("WLL", NUMBERS), ("MBL", NUMBERS), overrides={"unit": "lbs"})
    given.known(0, "wll").known(1, "breaking")
    wll, breaking = units_around(given.columns, given.table)
    assert (wll.unit, breaking.unit) == ("lb", "lb")
    assert wll.why == "said before, in lb as named"


def test_the_unit_of_a_title_is_for_ratings_alone() -> None:
    given = Evidence(("WLL", NUMBERS), ("MBL", NUMBERS), titles=["Working load limits in kg"])
    given.known(0, "wll").known(1, "breaking")
    wll, breaking = units_around(given.columns, given.table)
    assert (wll.unit, breaking.unit) == ("kg", None)
    assert wll.why == "said before, in kg as a line beside the table says"


def test_two_titles_that_disagree_say_nothing() -> None:
    given = Evidence(("WLL", NUMBERS), titles=["WLL in kg", "WLL in lbs"]).known(0, "wll")
    assert units_around(given.columns, given.table) == given.columns


def test_pounds_are_2_2046_times_the_kilograms() -> None:
    # 1 lb is 0.45359237 kg (international yard and pound agreement, 1959)
    pounds, kilograms = ("7100", "12000", "18100"), ("3220", "5443", "8210")
    for first, second, units in (
        (pounds, kilograms, ["lb", "kg"]),
        (kilograms, pounds, ["kg", "lb"]),
    ):
        given = Evidence(("WLL", first), ("WLL ", second)).known(0, "wll").known(1, "wll")
        found = units_around(given.columns, given.table)
        assert [c.unit for c in found] == units
    assert found[1].why == "said before, in lb since the two columns differ by 2.2"
    fourfold = Evidence(("WLL", pounds), ("WLL ", ("28400", "48000", "72400")))
    fourfold.known(0, "wll").known(1, "wll")
    assert units_around(fourfold.columns, fourfold.table) == fourfold.columns


def test_loads_with_units_of_their_own_need_none() -> None:
    for more in ({"unit": "t"}, {"unit_column": "c1"}):
        given = Evidence(("WLL", NUMBERS), ("Size", SIZES), titles=["WLL in kg"])
        given.known(0, "wll", **more)
        assert units_around(given.columns, given.table) == given.columns
    given = Evidence(("WLL", LOADS), titles=["WLL in lbs"]).known(0, "wll")
    assert units_around(given.columns, given.table) == given.columns
