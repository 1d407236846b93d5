"""A forged component's test force is not its multiple of the rating.

## What it checks
Forged components of chain slings (EN 1677-1, ISO 8539): proof force 2.5, breaking force 4 and the
upper force of the fatigue test 1.5 times the rating, in kN to two decimals; 20,000 cycles. The
rating itself is a preferred number of the series R40.

## Why it matters
These are the forces that a type test certificate of a hook has to show.

## Likely cause
A digit, or a force of a neighbouring rating.

## Example
`hooks.component-forces`

| row | grade | wll_kg | proof_force_kn | breaking_force_kn | fatigue_upper_force_kn | fatigue_cycles | finding           |
| --- | ----- | ------ | -------------- | ----------------- | ---------------------- | -------------- | ----------------- |
| 2   | 80    | 3150   | 77.23          | 123.56            | 46.34                  | 20000          |                   |
| 3   | 80    | 5300   | 129.94         | 197.90            | 77.96                  | 20000          | breaking_force_kn |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.formulas import round_down_r40
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings, numbers
from tallyhook.units import factor

MULTIPLES = {"proof_force_kn": 2.5, "breaking_force_kn": 4.0, "fatigue_upper_force_kn": 1.5}
CYCLES = 20_000


@rule(severity=ERROR, reads="hooks.component-forces", since="0.1.0")
def component_force_is_not_the_multiple_of_wll(components: pd.DataFrame) -> pd.DataFrame:
    newtons = components["wll_kg"] * factor("kg", "kN")
    parts = []
    for column, multiple in MULTIPLES.items():
        expected = multiple * newtons
        broken = (components[column] - expected).abs() > 0.0051
        parts.append(
            findings(components[broken], column=column, expected=expected[broken].round(2))
        )
    cycles = components["fatigue_cycles"] != CYCLES
    parts.append(findings(components[cycles], column="fatigue_cycles", expected=CYCLES))
    preferred = numbers(components["wll_kg"], round_down_r40)
    odd = (components["wll_kg"] - preferred).abs() > 1e-6
    parts.append(findings(components[odd], column="wll_kg", expected=preferred[odd]))
    return pd.concat(parts)
