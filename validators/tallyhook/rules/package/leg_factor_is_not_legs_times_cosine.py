"""A leg factor is not legs times the cosine of the flattest angle it holds for.

## What it checks
- A factor for two or more legs is the number of legs (of four, as many as the rules for slings
  count: three) times the cosine of the largest angle to the vertical, within 1.2 % (EN 818-4 prints
  1.4 and 2.1 for 1.414 and 2.121).
- An endless sling in choke hitch carries twice its document's choke factor: 1.6 with 0.8, 1.5 with
  0.75.
- Angle ranges follow one another without a gap.

## Why it matters
The factor for an angle is geometry; a table that departs from it is wrong or about other angles.

## Likely cause
The angle to the horizontal or the included angle was taken for the angle to the vertical.

## Example
`use.leg-factors`

| row | source   | configuration | angle_from_deg | angle_to_deg | hitch    | leg_factor | finding    |
| --- | -------- | ------------- | -------------- | ------------ | -------- | ---------- | ---------- |
| 2   | en-818-4 | 2-leg         | 0              | 45           | straight | 1.4        |            |
| 3   | en-818-4 | 2-leg         | 45             | 60           | straight | 1.2        | leg_factor |
| 4   | en-818-4 | 4-leg         | 0              | 45           | straight | 2.1        |            |
| 5   | en-818-4 | 4-leg         | 50             | 60           | straight | 1.5        | angle_from_deg |
| 6   | en-818-4 | endless       | 0              | 0            | choke    | 1.6        |            |

`use.hitch-factors`

| row | source   | hitch | load_shape | factor | factor_of    |
| --- | -------- | ----- | ---------- | ------ | ------------ |
| 2   | en-818-6 | choke | any        | 0.8    | sling-rating |

`use.sling-rules`

| row | rule         | source          | count |
| --- | ------------ | --------------- | ----- |
| 2   | legs-counted | bg-bau-slings   | 2     |
| 3   | legs-counted | common-practice | 3     |
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings, numbers

TOLERANCE = 0.012
_ROUND = ("any", "round")


@rule(
    severity=ERROR, reads=("use.leg-factors", "use.hitch-factors", "use.sling-rules"), since="0.1.0"
)
def leg_factor_is_not_legs_times_cosine(
    legs: pd.DataFrame, hitches: pd.DataFrame, rules: pd.DataFrame
) -> pd.DataFrame:
    cosine = np.cos(np.deg2rad(legs["angle_to_deg"]))
    geometry = _counted(legs, rules) * cosine
    bent = (legs["leg_factor"] / geometry - 1).abs() > TOLERANCE
    endless = legs[(legs["configuration"] == "endless") & (legs["hitch"] == "choke")]
    choke = hitches[(hitches["hitch"] == "choke") & hitches["load_shape"].isin(_ROUND)]
    by_family = choke.assign(family=choke["source"].map(_family)).groupby("family")["factor"].max()
    twice = 2 * numbers(endless["source"].map(_family), by_family)
    unlike = (endless["leg_factor"] - twice).abs() > 1e-6
    ordered = legs.sort_values(["source", "configuration", "hitch", "angle_to_deg"])
    below = ordered.groupby(["source", "configuration", "hitch"])["angle_to_deg"].shift()
    gap = ordered["angle_from_deg"] != below.fillna(0.0)
    return pd.concat(
        [
            findings(legs[bent], column="leg_factor", expected=geometry[bent]),
            findings(endless[unlike], column="leg_factor", expected=twice[unlike]),
            findings(ordered[gap], column="angle_from_deg", expected=below.fillna(0.0)[gap]),
        ]
    )


def _counted(legs: pd.DataFrame, rules: pd.DataFrame) -> pd.Series:
    """Give how many legs of each sling are counted: four do not share evenly."""
    counted = (rules["rule"] == "legs-counted") & (rules["source"] == "common-practice")
    number = pd.to_numeric(legs["configuration"].str.extract(r"^(\d+)-leg$")[0])
    return number.clip(upper=rules.loc[counted, "count"].min())


def _family(source: str) -> str:
    """Give the document without its part: the parts of EN 818 are one set of rules."""
    return source.rpartition("-")[0] if source.startswith("en-818-") else source
