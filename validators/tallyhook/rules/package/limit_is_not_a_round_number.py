"""A limit or factor that documents write as a round number is not one.

## What it checks
Limits and factors of use, inspection and design are set, not measured: 5, 10, 15 percent, 45
degrees, a factor of 0.8, 400 degF. Their first digits are one of some thirty that such documents
use. Masses are round in kg or in lb, lengths in mm or in 64ths of an inch, temperatures in steps
of 25 degC (10 below 100 degC) or 50 degF (20 below 212 degF).

## Why it matters
These numbers stand alone: no formula and often no second document holds them. A crooked one is
mistyped, or was converted on the way here.

## Likely cause
A digit; or the document does print it so, and it is a known oddity.

## Example
`values`

| row | table            | column        | unit    | value | finding       |
| --- | ---------------- | ------------- | ------- | ----- | ------------- |
| 2   | inspection.limits | value_percent | percent | 15    |               |
| 3   | inspection.limits | value_percent | percent | 10.5  | value_percent |
| 4   | inspection.limits | value_c       | degC    | 537.8 |               |
| 5   | inspection.limits | value_c       | degC    | 420   | value_c       |
| 6   | use.hitch-factors | factor        | 1       | 0.8   |               |
| 7   | chain.ratings     | wll_kg        | kg      | 1234  |               |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.messages import say
from tallyhook.model.finding import WARNING
from tallyhook.rules import rule
from tallyhook.rules.package import findings, those
from tallyhook.rules.package._round_numbers import A_ROUND_NUMBER, is_round

COLUMNS = {
    "chain.scope-limits": ("max_ultimate_strength_n_mm2", "max_yield_stress_n_mm2"),
    "hooks.design-factors": ("design_factor", "proof_to_wll_min", "proof_to_wll_max"),
    "hooks.forms": ("load_angle_from_deg", "load_angle_to_deg"),
    "hooks.proof-loads": (
        "proof_to_wll", "proof_load_lb", "max_throat_increase_percent", "max_throat_increase_in",
    ),
    "hooks.special-ratings": ("design_factor",),
    "hooks.suits": ("above_c", "above_deg"),
    "inspection.limits": ("value_percent", "value_deg", "value_mm", "value_c", "cap_mm"),
    "inspection.marking-rules": ("above_kg", "every_links", "every_mm"),
    "inspection.proof-tests": (
        "proof_to_rated", "tolerance_below_percent", "tolerance_above_percent",
    ),
    "use.angle-limits": ("angle_deg", "load_percent"),
    "use.edge-factors": ("factor", "radius_from_diameters", "radius_to_diameters"),
    "use.hitch-factors": ("factor",),
    "use.hook-use-rules": ("ratio", "count", "value_mm", "to_mm", "value_c"),
    "use.law-factors": ("design_factor", "most_leg_angle_deg"),
    "use.load-position-factors": ("larger_share_percent",),
    "use.rules-of-thumb": ("factor_of_safety",),
    "use.shortening-factors": ("factor",),
    "use.sling-rules": (
        "ratio", "count", "value_percent", "value_mm", "value_kg", "value_n_mm2", "value_c",
        "to_c",
    ),
}  # fmt: skip
"""The columns that hold set limits; others are measured or computed and have rules of their own."""


@rule(severity=WARNING, reads="values", since="0.1.0")
def limit_is_not_a_round_number(values: pd.DataFrame) -> pd.DataFrame:
    named = pd.MultiIndex.from_tuples([(t, c) for t, cs in COLUMNS.items() for c in cs])
    limits = values[pd.MultiIndex.from_frame(values[["table", "column"]]).isin(named)]
    crooked = (
        not is_round(value, unit)
        for value, unit in zip(limits["value"], limits["unit"], strict=True)
    )
    wrong = those(limits, crooked)
    return findings(
        wrong, column=wrong["column"], observed=wrong["value"], expected=say(A_ROUND_NUMBER)
    )
