"""The interpreted item: the columns that every later step of the check reads."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import polars as pl

__all__ = ["ITEM_SCHEMA", "KINDS", "items_frame"]

KINDS = ("chain", "hook", "grab-hook", "link", "sling", "other")

ITEM_SCHEMA: dict[str, type[pl.DataType]] = {
    "row": pl.Int64,  # the number the spreadsheet shows
    "sheet": pl.String,
    "part": pl.String,
    "supplier": pl.String,
    "item": pl.String,  # the row's own words, for people
    "kind": pl.String,  # one of KINDS
    "form": pl.String,  # hooks.forms
    "connection": pl.String,  # hooks.connections
    "size_mm": pl.Float64,  # nominal diameter of the chain
    "size_in": pl.String,  # the inch name it was written by, "3/8"
    "size_mm_to": pl.Float64,  # the larger size of a part for two sizes ("7/8 mm"), else null
    "grade": pl.Int64,  # 30, 43, 70, 80, 100, 120; 40, 60 for European 4 and 6
    "scheme": pl.String,  # the rating scheme that the row's own words claim
    "material": pl.String,  # carbon or alloy, for hoist hooks
    "legs": pl.Int64,
    "legs_range": pl.String,  # "3-4" where the row says three or four, which are rated alike
    "angle_from_deg": pl.Float64,  # to the vertical
    "angle_to_deg": pl.Float64,
    # the same where the row does not say from which line its angle counts, in either case
    "angle_if_vertical_deg": pl.Float64,
    "angle_if_horizontal_deg": pl.Float64,
    "hitch": pl.String,  # straight, choke, basket
    "wll_kg": pl.Float64,
    "wll_value": pl.Float64,  # the number as written
    "wll_unit": pl.String,  # canonical unit it is in
    "wll_step_kg": pl.Float64,  # worth of the last significant digit written
    "wll_text": pl.String,  # as written, with its unit: "26,400 lb"
    "wll_column": pl.String,  # the heading of the column it stands in
    "wll2_kg": pl.Float64,  # the same rating in the list's second unit
    "wll2_unit": pl.String,
    "wll2_text": pl.String,
    "wll2_column": pl.String,
    "breaking_kn": pl.Float64,
    "breaking_text": pl.String,
    "breaking_column": pl.String,
    "proof_kn": pl.Float64,
    "proof_text": pl.String,
    "proof_column": pl.String,
    "design_factor": pl.Float64,
    "design_factor_column": pl.String,
    "cradle": pl.String,  # yes, no, or null when the row does not say
    "latch": pl.String,  # yes, no, null
    "swivel": pl.String,  # bearing, positioning, null
    "overhead": pl.String,  # yes, no, null: sold for overhead lifting or expressly not
    "pair": pl.String,  # yes when the rating is said to be for a pair
    "shortening": pl.String,  # words such as "shortening deducted", null otherwise
    "unread": pl.String,  # what could not be read or was ambiguous, one clause a field
}
"""Column -> polars type. Everything except `row` may be null."""


def items_frame(rows: Iterable[Mapping[str, Any]]) -> pl.DataFrame:
    """Build an items frame from partial rows; missing columns are null.

    Raises
    ------
    ValueError
        A row has a column that is not in `ITEM_SCHEMA`.
    """
    full = []
    for row in rows:
        unknown = set(row) - set(ITEM_SCHEMA)
        if unknown:
            raise ValueError(f"items have no column {sorted(unknown)[0]!r}")
        full.append(dict.fromkeys(ITEM_SCHEMA) | dict(row))
    return pl.DataFrame(full, schema=ITEM_SCHEMA, orient="row")
