"""A sling's rating is not its leg factor times the rating of one leg.

## What it checks
European slings: leg factor x the **unrounded** rating of the chain, rounded down to the R40 series
(EN 818-4 table 3: 6 mm grade 8, two legs, 1.4 x 1.1533 gives 1.6 t; 1.4 x the printed 1.12 would
give 1.5). American slings: leg factor x the chain's rating in pounds, to the nearest 100 lb.

## Why it matters
The multi-leg table is the one that riggers use, and the one with most numbers to get wrong.

## Likely cause
The factor was taken of the rounded rating, or the value is from the column for another angle.

## Example
`chain.slings`

| row | scheme   | grade | size_mm | configuration | leg_factor | wll_kg | wll_lb | finding |
| --- | -------- | ----- | ------- | ------------- | ---------- | ------ | ------ | ------- |
| 2   | european | 80    | 6       | 2-leg         | 1.4        | 1600   |        |         |
| 3   | european | 80    | 10      | 2-leg         | 1.4        | 4400   |        | wll_kg  |
| 4   | us-chain | 80    | 10      | 2-leg         | 1.732      | 5580   | 12300  |         |
| 5   | us-chain | 80    | 10      | 3-leg         | 2.598      | 8370   | 18500  | wll_lb  |

`chain.ratings`

| row | scheme   | grade | size_mm | wll_kg | wll_lb |
| --- | -------- | ----- | ------- | ------ | ------ |
| 2   | us-chain | 80    | 10      | 3200   | 7100   |

`chain.grades`

| row | grade | breaking_stress_n_mm2 | breaking_stress_n_mm2_known_by | design_factor |
| --- | ----- | --------------------- | ------------------------------ | ------------- |
| 2   | 80    | 800                   |                                | 4             |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.formulas import round_down_r40
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import beside, findings, numbers
from tallyhook.rules.package._european import unrounded_kg


@rule(severity=ERROR, reads=("chain.slings", "chain.ratings", "chain.grades"), since="0.1.0")
def sling_rating_is_not_the_leg_factor_times_the_chain(
    slings: pd.DataFrame, ratings: pd.DataFrame, grades: pd.DataFrame
) -> pd.DataFrame:
    european = slings[slings["scheme"] == "european"]
    unrounded = european["leg_factor"] * unrounded_kg(european, grades)
    metric = numbers(unrounded, round_down_r40)
    # written as "not within", so that a row whose chain is unknown is found too
    wrong = ~((european["wll_kg"] - metric).abs() <= 0.5)
    american = slings[slings["scheme"] == "us-chain"]
    american = beside(american, ratings, ["scheme", "grade", "size_mm"], ["wll_lb"])
    pounds = american["leg_factor"] * american["wll_lb_other"]
    # to the nearest 100 lb, a half either way; the single leg is the chain's own rating
    within = 50.0 * (american["leg_factor"] != 1) + 1e-6
    wrong_lb = ~((american["wll_lb"] - pounds).abs() <= within)
    return pd.concat(
        [
            findings(european[wrong], column="wll_kg", expected=metric[wrong]),
            findings(american[wrong_lb], column="wll_lb", expected=pounds[wrong_lb]),
        ]
    )
