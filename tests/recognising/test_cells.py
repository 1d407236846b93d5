"""What cells are by their form."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from tallyhook.recognising.cells import describe_cells, holds_load, holds_size, is_number


@pytest.mark.parametrize(
    ("share", "cells"),
    [
        ("number", ["7100", "7,100", "3.15", "12 000", "~ 50", "1.250*"]),
        ("load", ["7,100 lb", "3.15 t", "2000kg", "112 kN", "7100 lbs (3220 kg)", "5 T"]),
        ("size", ["3/8", "10 mm", '1-1/4"', "½", "ø 13", "Dia. 8", "7/8 in", "10 Zoll"]),
        ("grade", ["80", "G80", "Gk 8", "classe 10", "Grade 100", "T", "proof coil", "hi-test"]),
        ("grade_marked", ["G80", "Gk 8", "T", "alloy"]),
        ("unit", ["kg", "lbs", "ea", "Stk", "mm", "ft"]),
        ("load_units", ["kg", "lbs", "t", "kN"]),
        ("small_integer", ["1", "2", "3", "4"]),
        ("words", ["grab hook", "chaîne haute résistance"]),
        ("long", ["grab hook for chain", "one two three four"]),
        ("code", ["C-70-38", "HP1", "4711/B"]),
        ("angle", ["45°", "0-45", "30 to 60 deg", "45 bis 60 Grad"]),
        ("factor", ["4:1", "5", "4 : 1", "5 to 1", "4x"]),
    ],
)
def test_all_of_these_and_none_of_those(share: str, cells: Sequence[str]) -> None:
    assert getattr(describe_cells(cells), share) == 1.0
    assert getattr(describe_cells(["the red one, see below"]), share) in (
        (1.0,) if share in ("words", "long") else (0.0,)
    )


def test_what_says_nothing_is_not_counted() -> None:
    found = describe_cells(["", "-", "n/a", "WLL", "80", "80", "100"], "WLL")
    assert (found.filled, found.distinct, found.smallest, found.middle) == (3, 2, 80, 80)


@pytest.mark.parametrize(
    ("cells", "middle"),
    [(["7,100"], 7100.0), (["3,15"], 3.15), (["1.234,5"], 1234.5), (["4.250"], 4250.0)],
)
def test_numbers_before_the_decimal_mark_is_known(cells: list[str], middle: float) -> None:
    # three digits behind the only mark are taken for thousands
    assert describe_cells(cells).middle == middle


def test_units_are_counted() -> None:
    assert describe_cells(["7,100 lb", "12,000 lb", "3.15 t", "kg"]).units == {
        "lb": 2,
        "t": 1,
        "kg": 1,
    }


def test_loads_and_sizes_in_texts() -> None:
    assert holds_load("hook 3/8 in, 7,100 lb / 3.2 t") == [("7,100", "lb"), ("3.2", "t")]
    assert holds_load("10 mm, grade 80") == []
    assert [holds_size(t) for t in ("hook 3/8", "10 mm", "ø13", "grade 80", "7,100 lb")] == [
        True,
        True,
        True,
        False,
        False,
    ]
    assert [is_number(t) for t in ("7,100", "-5", "7 t", "3/8")] == [True, True, False, False]
