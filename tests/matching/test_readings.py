"""The other readings of an item, and what each would be rated.

49 CFR 393.108: 1/2 in (13 mm) grade 80 12,000 lb, 6 tons of 2,000 lb; grade 70 3/8 in 6,600 lb.
EN 818-2: 10 mm grade 8 3.15 t. EN 818-4 table 3, 10 mm, two legs: 4.25 t to 45 degrees to the
vertical, 3.15 t to 60. A grab hook without cradle loses a fifth (common practice).
"""

from __future__ import annotations

from typing import Any

import polars as pl
import pytest

from tallyhook.matching.match import MATCH_COLUMNS, match
from tallyhook.matching.readings import READINGS, readings
from tallyhook.model.items import items_frame

TEN = {"kind": "chain", "grade": 80, "size_mm": 10.0, "wll_unit": "kg", "wll_step_kg": 10.0}
TONS = {"wll_unit": "ton", "wll_step_kg": None, "size_mm": 13.0}
SLING = TEN | {"kind": "sling", "legs": 2, "scheme": "european"}
OPEN = {"angle_if_vertical_deg": 60.0, "angle_if_horizontal_deg": 30.0, "scheme": None}


def _read(reference: pl.DataFrame, **item: Any) -> dict[str, dict[str, Any]]:
    matched = match(items_frame([{"row": 7} | TEN | item]), reference)
    found = readings(matched, reference)
    assert found.columns == ["row", "reading", "wll_kg", *MATCH_COLUMNS]
    assert set(found["row"]) <= {7} and set(found["reading"]) <= set(READINGS)
    return {row["reading"]: row for row in found.iter_rows(named=True)}


def test_a_row_that_leaves_nothing_open_has_no_other_reading(reference: pl.DataFrame) -> None:
    assert _read(reference, wll_kg=3150.0) == {}
    assert _read(reference, wll_kg=9999.0) == {}


@pytest.mark.parametrize(
    ("tons", "short", "metric"),
    [(6.0, "agree", "contradicted"), (5.44, "contradicted", "agree"), (5.0, *["contradicted"] * 2)],
)
def test_bare_tons_are_read_as_either_ton(
    tons: float, short: str, metric: str, reference: pl.DataFrame
) -> None:
    found = _read(reference, **TONS, wll_value=tons)
    assert {name: row["outcome"] for name, row in found.items()} == {
        "short-ton": short, "tonne": metric,
    }  # fmt: skip
    assert found["short-ton"]["wll_kg"] == pytest.approx(tons * 2000 * 0.45359237)
    assert found["tonne"]["wll_kg"] == pytest.approx(tons * 1000)


def test_an_angle_from_no_line_is_read_from_either(reference: pl.DataFrame) -> None:
    found = _read(reference, **(SLING | OPEN), wll_kg=4250.0)
    assert {name: row["nearest_kg"] for name, row in found.items()} == {
        "angle-to-the-vertical": 3150, "angle-to-the-horizontal": 4250,
    }  # fmt: skip
    assert {row["nearest_source"] for row in found.values()} == {"dguv-209-021"}
    # right in the stricter reading, or wrong in both: nothing is open
    assert _read(reference, **(SLING | OPEN), wll_kg=3150.0) == {}
    assert _read(reference, **(SLING | OPEN), wll_kg=9000.0) == {}


@pytest.mark.parametrize(
    ("kg", "cradle", "outcome"),
    [(3150.0, "no", "agree"), (3600.0, "no", "contradicted"), (2520.0, "no", None),
     (3600.0, "yes", None), (3600.0, None, None)],
)  # fmt: skip
def test_a_contradicted_bare_grab_hook_is_read_with_a_cradle(
    kg: float, cradle: str | None, outcome: str | None, reference: pl.DataFrame
) -> None:
    found = _read(reference, kind="grab-hook", cradle=cradle, wll_kg=kg)
    assert {name: row["outcome"] for name, row in found.items()} == (
        {"with-cradle": outcome} if outcome else {}
    )


def test_a_sling_of_two_grades_is_read_by_the_lower(reference: pl.DataFrame) -> None:
    mixed = SLING | {"grade": 100, "angle_to_deg": 45.0, "item": "sling G100, hooks G80"}
    found = _read(reference, **mixed, wll_kg=5600.0)
    assert found["lowest-grade"]["nearest_kg"] == 4250
    assert found["lowest-grade"]["outcome"] == "contradicted"
    assert _read(reference, **(mixed | {"item": "sling G100"}), wll_kg=5600.0) == {}


def test_no_items_have_no_readings(reference: pl.DataFrame) -> None:
    none = match(items_frame([{"row": 7} | TEN]).clear(), reference)
    assert readings(none, reference).is_empty()
