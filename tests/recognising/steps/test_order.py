"""All steps after one another: their order, and what is kept of each."""

from __future__ import annotations

from column_evidence import GRADES, NUMBERS, SIZES, WORDS, Evidence, roles
from tallyhook.recognising.steps import STEPS, after_all_steps


def test_every_step_keeps_the_columns_in_their_places() -> None:
    given = Evidence(("Item", WORDS), ("Size", SIZES), ("Grade", GRADES), ("WLL", NUMBERS))
    columns = given.columns
    for step in STEPS:
        columns = step(columns, given.table) if step.__name__ != "rating_required" else columns
        assert [c.column for c in columns] == ["c0", "c1", "c2", "c3"], step.__name__


def test_each_decision_has_the_name_of_its_step() -> None:
    given = Evidence(
        ("Item", WORDS), ("Size", SIZES), ("WLL", NUMBERS), titles=["All ratings in kg"]
    )
    columns = after_all_steps(given.columns, given.table)
    assert roles(columns) == ["description", "size", "wll"]
    assert [(d.step, d.what, d.adds) for d in columns[2].decisions] == [
        ("by_heading", "wll", False),
        ("units_around", "kg", True),
    ]
    assert columns[2].why == "headed 'wll', in kg as a line beside the table says"


def test_the_user_goes_before_the_profile_and_both_before_the_heading() -> None:
    said = [{"heading": "WLL", "role": "breaking"}, {"heading": "Cap.", "role": "wll"}]
    given = Evidence(("WLL", NUMBERS), ("Cap.", NUMBERS), profile=said, overrides={"proof": "WLL"})
    wll, cap = after_all_steps(given.columns, given.table)
    assert (wll.role, cap.role) == ("proof", "wll")
    assert [d.step for d in wll.decisions] == ["by_heading", "by_profile", "by_name"]
