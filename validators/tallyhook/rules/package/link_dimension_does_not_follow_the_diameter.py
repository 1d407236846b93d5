"""A dimension of a chain link is not what its bar diameter gives.

## What it checks
European short link chain, as printed: pitch 3 d, at most and at least 3 % from it; inside width
1.3 d, outside width 3.7 d, weld diameter 1.1 d, bend deflection 0.8 d; tolerance of the diameter
0.04 d below 18 mm and 0.05 d from there. Tables print one decimal below 100 mm (two for the
small tolerances) and whole millimetres above; the bend is whole from 10 mm.

American alloy chain: inside length 3.2 to 3.32 d, inside width between 1.2 and 1.6 d; the
material diameter is within 9 % of the nominal size, which is rounded to a name.

A size that has dimensions has a rating.

## Why it matters
Pitch and width decide which fittings and which grab hook the chain fits.

## Likely cause
A row moved by one, a digit, or a dimension of another chain form.

## Example
`chain.dimensions`

| row | scheme   | grade | size_mm | dimension         | value_mm | finding  |
| --- | -------- | ----- | ------- | ----------------- | -------- | -------- |
| 2   | european | 80    | 10      | pitch-nominal     | 30       |          |
| 3   | european | 80    | 10      | pitch-max         | 31.5     | value_mm |
| 4   | european | 80    | 32      | outside-width-max | 118      |          |
| 5   | us-chain | 30    | 8       | material-diameter | 8.4      |          |
| 6   | us-chain | 80    | 10      | inside-length-max | 36       | value_mm |
| 7   | us-chain | 80    | 11      | material-diameter | 11       | size_mm  |

`chain.ratings`

| row | scheme   | grade | size_mm |
| --- | -------- | ----- | ------- |
| 2   | european | 80    | 10      |
| 3   | european | 80    | 32      |
| 4   | us-chain | 30    | 8       |
| 5   | us-chain | 80    | 10      |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.messages import say
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings, half_up

# dimension -> multiple of the nominal diameter, EN 818-2 and EN 818-3
_OF_DIAMETER = {
    "pitch-nominal": 3.0,
    "pitch-max": 3.09,
    "pitch-min": 2.91,
    "inside-width-min": 1.3,
    "outside-width-max": 3.7,
    "weld-diameter-max": 1.1,
    "bend-deflection-min": 0.8,
}
_BANDS = {
    "material-diameter": (0.91, 1.09),
    "inside-length-max": (3.15, 3.32),
    "inside-width-min": (1.2, 1.38),
    "inside-width-max": (1.48, 1.6),
}


@rule(severity=ERROR, reads=("chain.dimensions", "chain.ratings"), since="0.1.0")
def link_dimension_does_not_follow_the_diameter(
    dimensions: pd.DataFrame, ratings: pd.DataFrame
) -> pd.DataFrame:
    chain = ["scheme", "grade", "size_mm"]
    rated = pd.MultiIndex.from_frame(dimensions[chain]).isin(
        pd.MultiIndex.from_frame(ratings[chain])
    )
    european = dimensions[dimensions["scheme"] == "european"]
    printed = [
        _printed(d, n) for d, n in zip(european["dimension"], european["size_mm"], strict=True)
    ]
    frame = pd.DataFrame(printed, columns=["expected", "slack"], index=european.index)
    wrong = (european["value_mm"] - frame["expected"]).abs() > frame["slack"]
    american = dimensions[dimensions["scheme"] == "us-chain"]
    nothing = (float("nan"), float("nan"))
    bands = pd.DataFrame(
        [_BANDS.get(d, nothing) for d in american["dimension"]],
        columns=["low", "high"],
        index=american.index,
    )
    ratio = american["value_mm"] / american["size_mm"]
    outside = (ratio < bands["low"]) | (ratio > bands["high"])
    middle = american["size_mm"] * (bands["low"] + bands["high"]) / 2
    return pd.concat(
        [
            findings(dimensions[~rated], column="size_mm", expected=say("a size that is rated")),
            findings(european[wrong], column="value_mm", expected=frame["expected"][wrong]),
            findings(american[outside], column="value_mm", expected=middle[outside]),
        ]
    )


def _printed(dimension: str, size_mm: float) -> tuple[float, float]:
    """Give a European dimension as printed, and how far a print may be from it [mm]."""
    if dimension == "diameter-tolerance":
        small = size_mm < 18
        exact = (0.04 if small else 0.05) * size_mm
        return half_up(exact, 2 if small else 1), 1e-6
    exact = _OF_DIAMETER.get(dimension, float("nan")) * size_mm
    if dimension == "bend-deflection-min":
        return half_up(exact, 1 if exact < 10 else 0), 1e-6
    # halves are printed either way (15.45 as 15.5, 77.25 as 77.2): half of the last digit
    return exact, (0.05 if exact < 100 else 0.5) + 1e-6
