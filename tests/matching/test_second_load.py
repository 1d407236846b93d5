"""The load in the second unit, and loads in bare tons: which one is held against the ratings.

10 mm grade 80: 3,150 kg (EN 818-2), 7,100 lb and 3,200 kg (49 CFR 393.108).
"""

from __future__ import annotations

from typing import Any

import polars as pl
import pytest

from stock_items import example_items
from tallyhook.matching.match import MATCH_COLUMNS
from tallyhook.matching.readings import READINGS, readings
from tallyhook.model.items import items_frame

TEN = {"kind": "chain", "grade": "80", "size_mm": "10"}


def _held(reference: pl.DataFrame, **row: str) -> dict[str, Any]:
    return example_items([TEN | {"row": "2"} | row], reference).row(0, named=True)


@pytest.mark.parametrize(
    ("wll", "wll2", "outcome", "by_second"),
    [
        ("7,100 lb", "3,200 kg", "agree", False),
        ("7,100 lb", "7,100 kg", "contradicted", True),  # the second promises too much
        ("7,100 lb", "2,000 kg", "contradicted", True),  # the second is wrong, the first is not
        ("16,000 lb", "3,200 kg", "contradicted", False),
        ("16,000 lb", "9,000 kg", "contradicted", False),  # both are above: the first stands
        ("4,000 lb", "9,000 kg", "contradicted", True),  # too low, and far too high
        ("9,000 kg", "4,000 lb", "contradicted", False),
        ("2,000 kg", "4,000 lb", "contradicted", False),  # both too low
        # more than the first by half a percent and wrong: 3,150 kg are 6,944.6 lb
        ("3,150 kg", "6,990 lb", "contradicted", True),
        ("3,150 kg", "6,965 lb", "agree", False),
        ("3,150 kg", "6,790 lb", "agree", False),  # less, within a printed pair
        ("3,150 kg", "6,750 lb", "contradicted", True),  # 2.8 percent less
    ],
)
def test_the_graver_of_two_loads_is_held(
    wll: str, wll2: str, outcome: str, by_second: bool, reference: pl.DataFrame
) -> None:
    found = _held(reference, wll=wll, wll2=wll2)
    assert (found["outcome"], found["by_second"]) == (outcome, by_second)
    texts = (wll2, wll) if by_second else (wll, wll2)
    assert (found["wll_text"], found["wll2_text"]) == texts
    assert found["as_smaller_ton"] is False


def test_the_loads_change_places_whole(reference: pl.DataFrame) -> None:
    found = _held(reference, wll="7,100 lb", wll2="7,150 kg")
    told = {k: found[k] for k in found if k.startswith("wll")}
    assert told == {
        "wll_kg": 7150.0, "wll_value": 7150.0, "wll_unit": "kg", "wll_step_kg": 10.0,
        "wll_text": "7,150 kg", "wll_column": "wll2", "wll2_kg": pytest.approx(3220.506),
        "wll2_unit": "lb", "wll2_text": "7,100 lb", "wll2_column": "wll",
    }  # fmt: skip
    assert found["off_by"] == pytest.approx(7150 / 3220.506, rel=1e-3)


@pytest.mark.parametrize(
    ("wll2", "value", "step_kg"),
    [
        ("9.5 t", 9.5, 100.0),
        ("9,500 kg", 9500.0, 100.0),
        ("10 t", 10.0, 10000.0),
        ("20,000 lb", 20000.0, 4535.9237),
        ("9.55 short tons", 9.55, 9.0718474),
        ("90 kN", 90.0, 1019.7162),
        ("0 kg", 0.0, 1.0),
    ],
)
def test_the_second_load_has_the_last_digit_that_it_was_written_with(
    wll2: str, value: float, step_kg: float, reference: pl.DataFrame
) -> None:
    found = _held(reference, wll="" if wll2 == "0 kg" else "7,100 lb", wll2=wll2)
    assert found["by_second"]
    assert found["wll_value"] == pytest.approx(value)
    assert found["wll_step_kg"] == pytest.approx(step_kg)


def test_the_second_load_is_held_where_the_first_could_not_be_read(reference: pl.DataFrame) -> None:
    wrong = _held(reference, wll2="9,000 kg")
    assert (wrong["outcome"], wrong["by_second"], wrong["wll_kg"]) == ("contradicted", True, 9000)
    # one that is right passes nothing: the filled cell that was not read is told
    right = _held(reference, wll2="3,150 kg")
    assert (right["outcome"], right["by_second"]) == ("not compared", False)
    assert right["why"] == "no working load limit could be read"


def test_each_row_keeps_its_place_whichever_load_is_held(reference: pl.DataFrame) -> None:
    rows = [
        TEN | {"row": str(n), "wll": "7,100 lb", "wll2": wll2}
        for n, wll2 in enumerate(("7,100 kg", "3,200 kg", "9,000 kg", "3,200 kg", ""), start=2)
    ]
    found = example_items(rows, reference)
    assert found["row"].to_list() == [2, 3, 4, 5, 6]
    assert found["by_second"].to_list() == [True, False, True, False, False]
    # the same question is asked once
    assert found["case"].n_unique() == 3
    assert found.columns[: -len(MATCH_COLUMNS) - 1] == items_frame([]).columns


# --- bare tons ---


@pytest.mark.parametrize(
    ("wll", "outcome", "kg", "step_kg"),
    [
        # 7,100 lb are 3.55 tons of 2,000 lb
        ("3.55 tons", "not compared", None, None),
        ("3.7 tons", "contradicted", 3356.58, 90.718),
        ("3.75 tons", "contradicted", 3401.94, 9.0718),
        ("4 tons", "contradicted", 3628.74, 907.18),
        ("14.2 tons", "contradicted", 12882.0, 90.718),
        ("2 tons", "not compared", None, None),
    ],
)
def test_bare_tons_above_every_source_are_taken_for_the_smaller_ton(
    wll: str, outcome: str, kg: float | None, step_kg: float | None, reference: pl.DataFrame
) -> None:
    found = _held(reference, wll=wll)
    assert found["outcome"] == outcome
    assert found["as_smaller_ton"] is (kg is not None)
    assert found["wll_kg"] == (pytest.approx(kg, rel=1e-5) if kg else None)
    assert found["wll_step_kg"] == (pytest.approx(step_kg, rel=1e-4) if kg else None)
    assert found["wll_unit"] == ("short ton" if kg else "ton")
    assert found["wll_text"] == wll


def test_a_number_without_a_unit_is_no_ton(reference: pl.DataFrame) -> None:
    found = _held(reference, wll_value="7.1")
    assert (found["outcome"], found["as_smaller_ton"]) == ("not compared", False)
    other = _held(reference, wll_value="7.1", wll_unit="stone")
    assert (other["outcome"], other["as_smaller_ton"]) == ("not compared", False)


def test_only_the_rows_that_are_above_are_taken_so(reference: pl.DataFrame) -> None:
    loads = ("3.55 tons", "7.1 tons", "3,150 kg", "", "7.1 tons")
    rows = [TEN | {"row": str(n), "wll": wll} for n, wll in enumerate(loads, start=2)]
    rows[-1]["size_mm"] = "20"  # 28,300 lb
    found = example_items(rows, reference)
    assert found["as_smaller_ton"].to_list() == [False, True, False, False, False]
    assert found["outcome"].to_list() == [
        "not compared", "contradicted", "agree", "not compared", "not compared",
    ]  # fmt: skip


def test_a_second_load_beside_bare_tons_is_no_ton(reference: pl.DataFrame) -> None:
    found = _held(reference, wll="7.1 tons", wll2="9,000 kg")
    assert (found["outcome"], found["wll_kg"]) == ("contradicted", pytest.approx(6441.0, rel=1e-4))
    only_second = _held(reference, wll="3.55 tons", wll2="9,000 kg")
    assert (only_second["by_second"], only_second["as_smaller_ton"]) == (True, False)


# --- the angle ---


@pytest.mark.parametrize(
    ("scheme", "angle"),
    [
        ("european", 60), ("old-grade-6", 60), ("us-chain", 30), ("us-tiedown", 30), ("", None),
        ("of-a-maker", None),
    ],
)  # fmt: skip
def test_the_scheme_of_a_row_says_from_which_line_its_angle_counts(
    scheme: str, angle: float | None, reference: pl.DataFrame
) -> None:
    # EN 818-4 counts from the vertical, American charts from the horizontal
    row = {
        "kind": "sling", "legs": "2", "wll": "3,150 kg", "scheme": scheme,
        "angle_if_vertical_deg": "60", "angle_if_horizontal_deg": "30",
    }  # fmt: skip
    assert _held(reference, **row)["angle_to_deg"] == angle
    assert _held(reference, **row, angle_to_deg="45")["angle_to_deg"] == 45


def test_a_sling_that_fits_one_reading_of_its_angle_says_so(reference: pl.DataFrame) -> None:
    row = {
        "kind": "sling", "legs": "2", "wll": "4,250 kg", "angle_if_vertical_deg": "60",
        "angle_if_horizontal_deg": "30",
    }  # fmt: skip
    found = _held(reference, **row)
    assert (found["outcome"], found["why"]) == (
        "not compared",
        "its rating holds for one reading of its angle only, and which is not said",
    )


# --- other readings of a row ---


def _readings(reference: pl.DataFrame, *rows: dict[str, str]) -> list[tuple[Any, ...]]:
    numbered = [{"row": str(n)} | row for n, row in enumerate(rows, start=2)]
    found = readings(example_items(numbered, reference), reference)
    assert list(found.columns) == ["row", "reading", "wll_kg", *MATCH_COLUMNS]
    assert set(found["reading"]) <= set(READINGS)
    told = found.select("row", "reading", "outcome", pl.col("wll_kg").round(2), "nearest_value")
    return sorted(told.iter_rows())


def test_bare_tons_are_read_as_either_ton(reference: pl.DataFrame) -> None:
    found = _readings(
        reference,
        TEN | {"wll": "3.55 tons"},  # 7,100 lb
        TEN | {"wll": "3.15 tons"},  # EN 818-2, in t
        TEN | {"wll": "3.15 t"},
        TEN | {"wll_unit": "ton"},
        TEN | {"wll": "3.6 tons"},  # tons are read to the hundredth: 3.55 are no 3.6
    )
    assert found == [
        (2, "short-ton", "agree", 3220.51, 7100),
        (2, "tonne", "contradicted", 3550, 7100),
        (3, "short-ton", "contradicted", 2857.63, 3150),
        (3, "tonne", "agree", 3150, 3150),
        (6, "short-ton", "contradicted", 3265.87, 7100),
        (6, "tonne", "contradicted", 3600, 7100),
    ]


def test_a_bare_angle_is_read_from_either_line_in_the_scheme_of_its_rating(
    reference: pl.DataFrame,
) -> None:
    sling = TEN | {"kind": "sling", "legs": "2"}
    open_ = {"angle_if_vertical_deg": "60", "angle_if_horizontal_deg": "30"}
    found = _readings(
        reference,
        sling | open_ | {"wll": "4,250 kg"},
        sling | open_ | {"wll": "3,150 kg"},  # right in both readings
        sling | {"angle_to_deg": "45", "wll": "4,250 kg"},
    )
    assert found == [
        (2, "angle-to-the-horizontal", "agree", 4250, 4250),
        (2, "angle-to-the-vertical", "contradicted", 4250, 3150),
    ]


def test_a_contradicted_bare_grab_hook_is_read_with_a_cradle(reference: pl.DataFrame) -> None:
    hook = TEN | {"kind": "grab-hook", "cradle": "no"}
    found = _readings(
        reference,
        hook | {"wll": "3,150 kg"},
        hook | {"wll": "2,520 kg"},
        hook | {"wll": "9,000 kg"},
        hook | {"wll": "9,000 kg", "cradle": "yes"},
    )
    assert [(row, reading, outcome) for row, reading, outcome, *_ in found] == [
        (2, "with-cradle", "agree"),
        (4, "with-cradle", "contradicted"),
    ]


def test_a_sling_of_several_grades_is_read_by_the_lowest(reference: pl.DataFrame) -> None:
    sling = TEN | {"kind": "sling", "legs": "1", "wll": "4,000 kg", "grade": "100"}
    found = _readings(
        reference,
        sling | {"item": "G100 chain, G80 hook"},
        sling | {"item": "G100 chain, G100 hook"},
        sling | {"item": "G100 chain, G80 hook", "kind": "chain"},
    )
    assert found == [(2, "lowest-grade", "contradicted", 4000, 7100)]
