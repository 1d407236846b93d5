"""Items for tests: the example tables of stock rules, and short ways to write a row.

A cell of the columns `wll`, `wll2`, `breaking` and `proof` is written as in a list, a number and
its unit ("3,150 kg"); every other column is one of the item or of the match.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

import polars as pl

from tallyhook.matching.match import MATCH_COLUMNS, match
from tallyhook.matching.readings import readings
from tallyhook.model.items import ITEM_SCHEMA, items_frame
from tallyhook.packages.package import Package
from tallyhook.rules import rule_named
from tallyhook.units import factor

HEADINGS = {
    "wll_column": "wll",
    "wll2_column": "wll2",
    "breaking_column": "breaking",
    "proof_column": "proof",
    "design_factor_column": "design_factor",
}
"""In examples a column is called by what it holds, and that is its heading."""

_UNITS = {"tons": "ton", "short tons": "short ton"}


def example_items(rows: Sequence[Mapping[str, str]], reference: pl.DataFrame) -> pl.DataFrame:
    """Build matched items from an example table; its own match columns win over the match.

    A column `times` says how many rows of the list an item stands for, one otherwise.
    """
    items = items_frame(HEADINGS | _typed(row) for row in rows)
    matched = match(items, reference)
    for column in MATCH_COLUMNS:
        given = [row.get(column, "") for row in rows]
        if any(given):
            dtype = matched.schema[column]
            values = [_cast(text, dtype) for text in given]
            matched = matched.with_columns(pl.Series(column, values, dtype=dtype))
    times = [int(row.get("times") or 1) for row in rows]
    return matched.with_columns(pl.Series("times", times, dtype=pl.UInt32))


def found_by(
    name: str,
    rows: Sequence[Mapping[str, str]],
    reference: pl.DataFrame,
    packages: Mapping[str, Package],
) -> list[dict[str, Any]]:
    """Say what a stock rule finds in an example table: the fields that are filled."""
    rule = rule_named(name)
    items = example_items(rows, reference)
    tables = {"items": items, "reference": reference, "readings": readings(items, reference)}
    read = (
        tables[each] if each in tables else packages[each.split(".")[0]][each.split(".")[1]]
        for each in rule.reads
    )
    return [
        {field: value for field, value in finding.items() if value is not None}
        for finding in rule.check(*read).to_dicts()
    ]


def _typed(row: Mapping[str, str]) -> dict[str, Any]:
    typed = {c: _cast(text, ITEM_SCHEMA[c]) for c, text in row.items() if c in ITEM_SCHEMA}
    for column in ("wll", "wll2", "breaking", "proof"):
        if row.get(column):
            typed = _listed(column, row[column]) | typed
    return typed


def _listed(column: str, text: str) -> dict[str, Any]:
    """What the reader makes of a load or a force, as far as it is an item's."""
    number, unit = text.split(" ", 1)
    unit = _UNITS.get(unit, unit)
    value = Decimal(number.replace(",", ""))
    worth = None if unit == "ton" else factor(unit, "kg")
    kg = float(value) * worth if worth else None
    if column in ("breaking", "proof"):
        force = kg * factor("kg", "kN") if kg is not None else None
        return {f"{column}_kn": force, f"{column}_text": text}
    made = {f"{column}_kg": kg, f"{column}_unit": unit, f"{column}_text": text}
    if column == "wll":
        last = float(Decimal(1).scaleb(int(value.normalize().as_tuple().exponent)))
        made |= {"wll_value": float(value), "wll_step_kg": last * worth if worth else None}
    return made


def _cast(text: str, dtype: Any) -> Any:
    if text == "":
        return None
    return text if dtype == pl.String else int(text) if dtype == pl.Int64 else float(text)
