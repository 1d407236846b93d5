"""A choke factor grows as the choke gets sharper, or its angles are not those printed.

## What it checks
Within one document's table by angle of choke, the factor never falls as the angle grows; the
angles in numbers are those of the printed range. A basket with both legs upright carries twice
one leg around a round load, and once around a square one.

## Why it matters
A sharp choke cuts the rating; a table read the wrong way round doubles it.

## Likely cause
Rows swapped, or the angle of the bight was taken for the angle of choke.

## Example
`use.hitch-factors`

| row | source | hitch  | load_shape | choke_angle | factor | factor_of | choke_angle_from_deg | choke_angle_to_deg | finding            |
| --- | ------ | ------ | ---------- | ----------- | ------ | --------- | -------------------- | ------------------ | ------------------ |
| 2   | page   | choke  | any        | 120-180     | 0.8    | one leg   | 120                  | 180                |                    |
| 3   | page   | choke  | any        | 90-119      | 0.65   | one leg   | 90                   | 119                |                    |
| 4   | page   | choke  | any        | 60-89       | 0.55   | one leg   | 60                   | 98                 | choke_angle_to_deg |
| 5   | page   | basket | round      |             | 2.5    | one leg   |                      |                    | factor             |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings, numbers, unlike

BASKET = {"round": 2.0, "square": 1.0}
STRAIGHT_THROUGH = 180.0


@rule(severity=ERROR, reads="use.hitch-factors", since="0.1.0")
def hitch_factor_is_out_of_order(hitches: pd.DataFrame) -> pd.DataFrame:
    ordered = hitches.sort_values(["source", "hitch", "factor_of", "choke_angle_from_deg"])
    ordered = ordered[ordered["choke_angle_from_deg"].notna()]
    sharper = ordered.groupby(["source", "hitch", "factor_of"])["factor"].shift()
    falls = ordered["factor"] < sharper
    printed = hitches["choke_angle"]
    ends = printed.str.extract(r"^(\d+)-(\d+)$").astype(float)
    above = printed.str.extract(r"^above (\d+)$")[0].astype(float)
    below = printed.str.extract(r"^below (\d+)$")[0].astype(float)
    low = ends[0].fillna(above).fillna(0 * below)
    high = ends[1].fillna(below).fillna(0 * above + STRAIGHT_THROUGH)
    basket = numbers(hitches["load_shape"], BASKET).where(hitches["hitch"] == "basket")
    return pd.concat(
        [
            findings(ordered[falls], column="factor", expected=sharper[falls]),
            unlike(hitches, "choke_angle_from_deg", low),
            unlike(hitches, "choke_angle_to_deg", high),
            unlike(hitches, "factor", basket),
        ]
    )
