"""A sling's rating in a hitch does not follow from that of one leg hanging straight.

## What it checks
European chain, by the rounding of DGUV Information 209-021, section 2: one leg in a choke is 0.8 of
the printed rating, two legs to 45 degrees are 1.4 of that printed choke, both cut to 10 kg; from 45
to 60 degrees two legs are the one; endless chain laid double is four times the printed rating.
American chain: a choke is 0.8 of the straight rating of as many legs at that angle, within 100 lb.

## Why it matters
A choke is the hitch in which a chain is most often overloaded.

## Likely cause
A digit, the column for another angle, or the leg factor taken of the straight rating.

## Example
`chain.hitch-slings`

| row | scheme   | grade | size_mm | configuration | hitch   | angle_from_deg | angle_to_deg | wll_kg | wll_lb | finding |
| --- | -------- | ----- | ------- | ------------- | ------- | -------------- | ------------ | ------ | ------ | ------- |
| 2   | european | 40    | 23      | 1-leg         | choke   | 0              | 0            | 6400   |        |         |
| 3   | european | 40    | 23      | 2-leg         | choke   | 0              | 45           | 8960   |        |         |
| 4   | european | 40    | 20      | 2-leg         | choke   | 0              | 45           | 7060   |        | wll_kg  |
| 5   | european | 40    | 23      | endless       | doubled | 0              | 0            | 32000  |        |         |
| 6   | us-chain | 80    | 10      | 1-leg         | choke   | 0              | 0            |        | 5700   |         |
| 7   | us-chain | 80    | 10      | 2-leg         | choke   | 0              | 30           |        | 10000  | wll_lb  |

`chain.slings`

| row | scheme   | grade | size_mm | configuration | angle_from_deg | angle_to_deg | wll_kg | wll_lb |
| --- | -------- | ----- | ------- | ------------- | -------------- | ------------ | ------ | ------ |
| 2   | european | 40    | 23      | 1-leg         | 0              | 0            | 8000   |        |
| 3   | european | 40    | 20      | 1-leg         | 0              | 0            | 6300   |        |
| 4   | us-chain | 80    | 10      | 1-leg         | 0              | 0            | 3200   | 7100   |
| 5   | us-chain | 80    | 10      | 2-leg         | 0              | 30           | 5570   | 12300  |
"""

from __future__ import annotations

import math

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import beside, findings

_CHOKE, _TWO_LEGS, _DOUBLED = 0.8, 1.4, 4.0
_CUT_KG = 10.0
_WITHIN_LB = 100.0
_BIT = 1e-6  # 0.8 x 1,600 kg is 1,280 kg, whatever its last bit


@rule(severity=ERROR, reads=("chain.hitch-slings", "chain.slings"), since="0.2.0")
def hitch_rating_does_not_follow_from_the_straight_one(
    hitches: pd.DataFrame, slings: pd.DataFrame
) -> pd.DataFrame:
    key = ["scheme", "grade", "size_mm"]
    european = hitches[hitches["scheme"] == "european"]
    one_leg = slings[slings["configuration"] == "1-leg"]
    european = beside(european, one_leg, key, ["wll_kg"])
    rated = european["wll_kg_other"]
    choke = _cut(_CHOKE * rated)
    of_two = european["configuration"].eq("2-leg") & european["angle_from_deg"].eq(0)
    metric = choke.where(~of_two, _cut(_TWO_LEGS * choke))
    metric = metric.where(european["hitch"] != "doubled", _DOUBLED * rated)
    wrong = ~((european["wll_kg"] - metric).abs() <= _BIT * metric)
    american = hitches[hitches["scheme"] == "us-chain"]
    same = [*key, "configuration", "angle_from_deg", "angle_to_deg"]
    american = beside(american, slings, same, ["wll_lb"])
    pounds = _CHOKE * american["wll_lb_other"]
    wrong_lb = ~((american["wll_lb"] - pounds).abs() <= _WITHIN_LB + _BIT)
    return pd.concat(
        [
            findings(european[wrong], column="wll_kg", expected=metric[wrong]),
            findings(american[wrong_lb], column="wll_lb", expected=pounds[wrong_lb]),
        ]
    )


def _cut(loads: pd.Series) -> pd.Series:
    return (loads / _CUT_KG + _BIT).map(math.floor, na_action="ignore") * _CUT_KG
