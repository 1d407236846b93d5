"""A column's name ends in one unit and its schema says another, or none.

## What it checks
Every numeric column has a title, an example and a unit, and the unit is the one that its name
ends in: ``wll_kg`` is in kg, ``force_kn`` in kN, ``value_mm`` in mm. A name without such an ending
is a ratio (unit 1), a percentage, or has its own unit, which must be one that is known.

## Why it matters
The two are read by different people: the name by whoever opens the CSV, the schema by programs.

## Likely cause
A column was copied from another table.

## Example
`fields`

| row | table      | column | type   | unit | title | example | finding |
| --- | ---------- | ------ | ------ | ---- | ----- | ------- | ------- |
| 1   | demo.loads | wll_kg | number | kg   | WLL   | 3150    |         |
| 1   | demo.loads | wll_lb | number | kg   | WLL   | 7100    | wll_lb  |
| 1   | demo.loads | factor | number | 1    | Ratio | 0.8     |         |
| 1   | demo.loads | legs   | number |      | Legs  | 2       | legs    |
| 1   | demo.loads | reach  | number | oats | Reach | 2       | reach   |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.messages import say, to_say
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings, say_each_row
from tallyhook.rules.package._names import unit_of_name
from tallyhook.units import is_unit

_UNIT = to_say("unit {unit}")


@rule(severity=ERROR, reads="fields", since="0.1.0")
def unit_disagrees_with_column_name(fields: pd.DataFrame) -> pd.DataFrame:
    numeric = fields[fields["type"].isin(["number", "integer"])]
    named = numeric["column"].map(unit_of_name)
    wrong_unit = (numeric["unit"] == "") | (named.notna() & (named != numeric["unit"]))
    parts = [
        findings(
            numeric[wrong_unit],
            column=numeric["column"][wrong_unit],
            observed="unit " + numeric["unit"][wrong_unit].replace("", "missing"),
            expected=say_each_row(_UNIT, unit=named[wrong_unit].fillna(say("stated"))),
        )
    ]
    known = {unit: is_unit(unit) for unit in numeric["unit"].unique() if unit}
    strange = numeric[~wrong_unit & ~numeric["unit"].map(known).fillna(True).astype(bool)]
    parts.append(
        findings(
            strange,
            column=strange["column"],
            observed="unit " + strange["unit"],
            expected=say("a unit of measure"),
        )
    )
    for part in ("title", "example"):
        lacks = numeric[(numeric[part] == "") & ~wrong_unit]
        parts.append(
            findings(
                lacks,
                column=lacks["column"],
                observed=f"{part} missing",
                expected=say("{part} in the schema", part=part),
            )
        )
    return pd.concat(parts)
