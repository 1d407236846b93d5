"""A proof load's ratio, range or excess does not agree with what its row prints.

## What it checks
- An excess printed in percent of the safe load gives the ratio: 25 percent is 1.25.
- A range or an excess printed in short tons gives the kilograms beside it (907.18474 kg a ton).
- Where one step of a table ends and the next begins, both give the same proof load: at 20 tons
  1.25 x 20 is 20 + 5.

## Why it matters
Test houses read the printed column, programs the other.

## Likely cause
A long or metric ton was taken for a short one, or a step was moved by a row.

## Example
`hooks.proof-loads`

| row | source | article | swl_range          | swl_from_kg | swl_to_kg  | proof_to_wll | proof_excess_kg | proof_excess_printed | proof_excess_unit | finding         |
| --- | ------ | ------- | ------------------ | ----------- | ---------- | ------------ | --------------- | -------------------- | ----------------- | --------------- |
| 2   | law    | gear    | 0 to 20 short ton  | 0           | 18143.6948 | 1.25         |                 | 25                   | percent of SWL    |                 |
| 3   | law    | gear    | 20 to 50 short ton | 18143.6948  | 45359.237  |              | 4800            | 5                    | short ton         | proof_excess_kg |
| 4   | law    | gear    | above 50 short ton | 45359.237   |            | 1.2          |                 | 10                   | percent of SWL    | proof_to_wll    |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.messages import to_say
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings, numbers, say_each_row
from tallyhook.units import factor

_BELOW = to_say("the step below ends with a proof load of {load:g}")


@rule(severity=ERROR, reads="hooks.proof-loads", since="0.1.0")
def proof_load_contradicts_its_own_row(loads: pd.DataFrame) -> pd.DataFrame:
    printed = pd.to_numeric(loads["proof_excess_printed"], errors="coerce")
    percent = loads["proof_excess_unit"] == "percent of SWL"
    ton = factor("short ton", "kg")
    bounds = loads["swl_range"].str.extract(r"^(?:above )?([\d.]+)(?: to ([\d.]+))? (.+)$")
    scale = numbers(bounds[2], {"short ton": ton, "t": 1000.0})
    low, high = (pd.to_numeric(bounds[n]) * scale for n in (0, 1))
    parts = [
        _unlike(loads, "proof_to_wll", (1 + printed / 100).where(percent)),
        _unlike(
            loads,
            "proof_excess_kg",
            (printed * ton).where(loads["proof_excess_unit"] == "short ton"),
        ),
        _unlike(loads, "swl_from_kg", low),
        _unlike(loads, "swl_to_kg", high),
        _steps(loads, printed, percent, bounds),
    ]
    return pd.concat(parts)


def _unlike(frame: pd.DataFrame, column: str, expected: pd.Series) -> pd.DataFrame:
    broken = (frame[column] - expected).abs() > 1e-6 * expected.abs().clip(lower=1)
    return findings(frame[broken], column=column, expected=expected[broken])


def _steps(
    loads: pd.DataFrame, printed: pd.Series, percent: pd.Series, bounds: pd.DataFrame
) -> pd.DataFrame:
    """Find the steps that do not begin with the proof load at which the one below ends [tons]."""
    steps = pd.DataFrame(
        {
            "article": loads["source"] + "/" + loads["article"],
            "low": pd.to_numeric(bounds[0]),
            "high": pd.to_numeric(bounds[1]),
            "added": printed.where(~percent, 0.0),
            "share": (printed / 100).where(percent, 0.0),
        }
    ).dropna(subset=["low", "added"])
    steps = steps.sort_values(["article", "low"])
    below = steps.groupby("article")[["high", "added", "share"]].shift()
    meets = below["high"] == steps["low"]
    ends = below["high"] * (1 + below["share"]) + below["added"]
    begins = steps["low"] * (1 + steps["share"]) + steps["added"]
    broken = steps.index[meets & ((ends - begins).abs() > 1e-6)]
    return findings(
        loads.loc[broken],
        column="proof_excess_printed",
        expected=say_each_row(_BELOW, load=ends[broken]),
    )
