"""What a part is sold for: lifting, latches, cradles, swivels, and what its own words say.

ASTM A413/A413M-21, 1.1: grades 30, 43 and 70 are for other purposes than overhead lifting.
"""

from __future__ import annotations

import json
from typing import Any

import polars as pl
import pytest

from checked_lists import checked_row, rules_of
from stock_items import example_items
from tallyhook.packages import table_texts
from tallyhook.rules import rule_named

LIFTING, CALLED = "grade-is-not-for-overhead-lifting", "grade-is-called-a-lifting-grade"
TURNS, MIXES = "positioning-swivel-said-to-turn-under-load", "assembly-mixes-grades"
WORDS = "description-and-columns-disagree"


def _rows(found: list[dict[str, Any]]) -> list[int]:
    return [finding["row"] for finding in found]


@pytest.mark.parametrize("grade", ["30", "43", "70"])
def test_a_grade_for_other_purposes_is_never_lifted_with(grade: str, ask: Any) -> None:
    chain = {"kind": "chain", "grade": grade}
    rows = [
        chain | {"overhead": "yes"},
        chain,
        chain | {"overhead": "no"},
        chain | {"kind": "sling"},
        {"kind": "sling", "grade": "80", "item": f"G80 sling, G{grade} hook"},
        {"kind": "chain", "grade": "80", "item": f"G80 chain, G{grade} hook", "overhead": "yes"},
        {"grade": grade, "overhead": "yes"},
        {"item": f"G{grade} part"},
    ]
    found = ask(LIFTING, *rows)
    assert _rows(found) == [2, 5, 6, 8]
    assert [f["observed"] for f in found] == [
        f"grade {grade} for overhead lifting",
        f"grade {grade} for overhead lifting",
        f"a grade {grade} part in a lifting sling",
        f"grade {grade} for overhead lifting",
    ]


def test_the_lowest_of_several_forbidden_grades_is_named(ask: Any) -> None:
    (found,) = ask(
        LIFTING, {"kind": "sling", "grade": "80", "item": "G80 sling, G70 and G43 hooks"}
    )
    assert found["observed"] == "a grade 43 part in a lifting sling"


def test_a_sling_whose_own_grade_is_forbidden_is_told_by_it(ask: Any) -> None:
    (found,) = ask(LIFTING, {"kind": "sling", "grade": "70", "item": "G70 sling with G43 hooks"})
    assert found["observed"] == "grade 70 for overhead lifting"


@pytest.mark.parametrize(
    ("row", "called"),
    [
        ({"kind": "chain"}, True),
        ({"kind": "hook"}, True),
        ({"kind": "grab-hook"}, True),
        ({"kind": "sling"}, False),  # every sling lifts: the danger says so
        ({"kind": "link"}, False),
        ({"kind": "chain", "overhead": "yes"}, False),
        ({"kind": "chain", "overhead": "no"}, False),
        ({"kind": "chain", "grade": "80"}, False),
        ({"kind": "chain", "item": "Chain"}, False),
        ({"kind": "chain", "item": ""}, False),
        ({"kind": "chain", "item": "Chain, never for lifting"}, False),
        ({"kind": "chain", "item": "Chain, not for lifting"}, False),
    ],
)
def test_words_of_lifting_beside_a_grade_that_is_not_for_it(
    row: dict[str, str], called: bool, ask: Any
) -> None:
    assert bool(ask(CALLED, {"grade": "43", "item": "Lifting chain"} | row)) is called


def test_an_assembly_of_two_grades_is_rated_as_the_lower(ask: Any) -> None:
    found = ask(
        MIXES,
        {"kind": "sling", "item": "Sling G100 chain, G80 hooks, G120 master link"},
        {"kind": "sling", "item": "Sling G80 chain, G80 hooks"},
        {"kind": "hook", "item": "Hook G80 for G100 chain"},
        {"kind": "sling"},
    )
    assert [(f["row"], f["observed"], f["expected"]) for f in found] == [
        (2, "grades 80 and 100 and 120 in one sling", "one grade, or the rating of grade 80")
    ]


# --- connections, latches, cradles ---


def test_only_connections_that_the_package_calls_unfit_are_kept_from_lifting(
    ask: Any, packages: Any
) -> None:
    connections = packages["hooks"]["connections"]["connection"].to_list()
    rows = [{"kind": "hook", "connection": c, "overhead": "yes"} for c in connections]
    assert [f["observed"] for f in ask("connection-is-not-for-lifting", *rows)] == [
        "Clevis with cotter pin for overhead lifting"
    ]


def test_a_latch_is_missing_from_the_forms_that_are_made_with_one(ask: Any, packages: Any) -> None:
    # hooks.forms: a latch is required, or the hook locks by itself
    forms = packages["hooks"]["forms"]["form"].to_list()
    rows = [
        {"kind": "hook", "form": form, "latch": latch} for form in forms for latch in ("no", "yes")
    ]
    found = ask("latch-is-missing", *rows)
    assert [f["observed"] for f in found] == [
        "Automatic hook without latch",
        "Self-closing hook without latch",
        "Self-locking hook without latch",
    ]


def test_a_latch_is_too_much_on_the_forms_that_have_none(ask: Any, packages: Any) -> None:
    forms = packages["hooks"]["forms"]["form"].to_list()
    rows = [
        {"kind": "hook", "form": form, "latch": latch} for form in forms for latch in ("no", "yes")
    ]
    found = ask("latch-on-a-form-that-has-none", *rows)
    assert [f["observed"] for f in found] == [
        "Grab hook with cradle with latch",
        "Foundry hook with latch",
        "Grab hook without cradle with latch",
        "J hook with latch",
        "Ladle hook with latch",
        "S hook with latch",
        "Sorting hook with latch",
    ]


def test_a_rating_at_nine_tenths_is_no_full_one(ask: Any) -> None:
    row = {"kind": "grab-hook", "wll_kg": "900", "high_kg": "1000", "outcome": "agree"}
    assert ask("cradle-is-not-said", row) == []
    assert len(ask("cradle-is-not-said", row | {"wll_kg": "900.5"})) == 1


def test_the_page_of_the_positioning_swivel_is_named(reference: Any, packages: Any) -> None:
    pages = packages["hooks"]["connections"].with_columns(
        source=pl.col("connection") + " document", locator=pl.col("connection") + " page"
    )
    row = {"row": "2", "connection": "positioning-swivel", "item": "Hook, turns under load"}
    found = rule_named(TURNS).check(example_items([row], reference), pages)
    assert found.select("source", "locator").row(0) == (
        "positioning-swivel document",
        "positioning-swivel page",
    )


@pytest.mark.parametrize(
    ("row", "silent"),
    [
        # 10 mm grade 80: 3,150 kg (EN 818-2) and 7,100 lb (49 CFR 393.108); a fifth less 2,520 kg
        ({"wll": "3,150 kg"}, True),
        ({"wll": "7,100 lb"}, True),
        ({"wll": "2,520 kg"}, False),
        ({"wll": "5,680 lb"}, False),
        ({"wll": "3,150 kg", "cradle": "yes"}, False),
        ({"wll": "3,150 kg", "cradle": "no"}, False),
        ({"wll": "3,150 kg", "kind": "chain"}, False),
        ({"wll": "12,600 kg"}, False),
        ({"wll": "3,150 kg", "grade": ""}, False),
    ],
)
def test_a_full_rating_asks_for_a_cradle(row: dict[str, str], silent: bool, ask: Any) -> None:
    hook = {"kind": "grab-hook", "grade": "80", "size_mm": "10"}
    assert bool(ask("cradle-is-not-said", hook | row)) is silent


@pytest.mark.parametrize(
    ("rule", "row", "observed"),
    [
        ("connection-is-not-for-lifting", {"connection": "cotter-pin-clevis", "overhead": "yes"},
         "CLEVIS WITH COTTER PIN for overhead lifting"),
        ("latch-is-missing", {"form": "self-closing", "latch": "no"},
         "SELF-CLOSING HOOK without latch"),
        ("latch-on-a-form-that-has-none", {"form": "foundry", "latch": "yes"},
         "FOUNDRY HOOK with latch"),
    ],
)  # fmt: skip
def test_the_page_of_a_form_or_connection_is_told_in_the_readers_language(
    rule: str, row: dict[str, str], observed: str, ask: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(table_texts, "say_values", lambda texts: texts.str.to_uppercase())
    (found,) = ask(rule, {"kind": "hook"} | row)
    assert found["observed"] == observed


# --- words ---


@pytest.mark.parametrize(
    ("row", "danger"),
    [
        ({"connection": "positioning-swivel"}, True),
        ({"swivel": "positioning"}, True),
        ({"swivel": "bearing"}, False),
        ({"connection": "eye", "swivel": "positioning"}, True),
        ({"connection": "eye"}, False),
        ({}, False),
        ({"connection": "positioning-swivel", "item": ""}, False),
        ({"connection": "positioning-swivel", "item": "Hook, swivels under full load"}, True),
        ({"connection": "positioning-swivel", "item": "Hook, rotates freely under load"}, True),
        ({"connection": "positioning-swivel", "item": "Hook, turns. Works under load"}, False),
        ({"connection": "positioning-swivel", "item": "Hook, do not turn under load"}, False),
        ({"connection": "positioning-swivel", "item": "Hook, drehbar unter Last"}, True),
    ],
)
def test_a_positioning_swivel_does_not_turn_under_load(
    row: dict[str, str], danger: bool, ask: Any
) -> None:
    assert bool(ask(TURNS, {"kind": "hook", "item": "Hook, turns under load"} | row)) is danger


def test_each_field_that_words_and_column_give_differently_is_told(ask: Any) -> None:
    both = [
        {"field": "size", "described": "1/2", "column": "3/8"},
        {"field": "grade", "described": "80", "column": "70"},
    ]
    found = ask(
        WORDS,
        {"contradictions": json.dumps(both)},
        {"unread": "size: description says 1/2 and the column says 3/8"},  # for people alone
        {"contradictions": ""},
    )
    assert [(f["row"], f["column"], f["observed"]) for f in found] == [
        (2, "size", "3/8 in the column, 1/2 in the description"),
        (2, "grade", "70 in the column, 80 in the description"),
    ]


# --- from the words of a list to the finding; words are common practice, no source ---


@pytest.mark.parametrize(
    "words",
    ["overhead: no", "overhead lifting prohibited", "for overhead lights"],
)
@pytest.mark.parametrize("grade", ["70", "30"])
def test_what_is_not_for_overhead_lifting_is_no_danger(words: str, grade: str) -> None:
    # ASTM A413, 1.1: grades 30, 43 and 70 are for other purposes than overhead lifting
    assert "grade-is-not-for-overhead-lifting" not in rules_of(
        checked_row(f"Chain, {words}", "1000", Grade=grade)
    )
    assert "grade-is-not-for-overhead-lifting" in rules_of(
        checked_row("Chain, overhead lifting", "1000", Grade=grade)
    )


@pytest.mark.parametrize(
    ("words", "danger"),
    [
        ("with G70 hooks", True),
        ("with grade 7 hooks", True),  # 49 CFR 393.108: 7 is a mark of transport chain
        ("with transport hooks", True),  # ASTM A413, 1.2: grade 70 is transport chain
        ("do not use G70 hooks", False),
        ("do not use transport hooks", False),
        ("without grade 7 hooks", False),
        ("grade 7/8 in hooks", False),
        ("for transport, self-locking hooks", False),
    ],
)
def test_a_hook_of_grade_70_in_a_lifting_sling(words: str, danger: bool) -> None:
    found = rules_of(
        checked_row(f"2-leg chain sling G80 45 degrees to the vertical, {words}", "4250")
    )
    assert ("grade-is-not-for-overhead-lifting" in found) is danger
