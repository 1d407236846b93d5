"""A heat table's factors rise with temperature, or its steps leave a gap.

## What it checks
For each document and grade, in order of temperature: the factor while hot and the factor after
never rise, the first step has the full rating, each step begins where the one below ends, the
rating after is at least the rating while hot, and reductions go in steps of 5 percent. Limits are
multiples of 25 degC (10 below 100 degC) or of 50 degF.

## Why it matters
A gap or a rise leaves a temperature at which the table gives no answer, or two.

## Likely cause
Two rows were swapped, or a row was left out.

## Example
`use.heat-factors`

| row | source | grade | temperature_from_c | temperature_to_c | to_included | factor_while_hot | factor_after | finding            |
| --- | ------ | ----- | ------------------ | ---------------- | ----------- | ---------------- | ------------ | ------------------ |
| 2   | rule   | 80    | -40                | 200              | true        | 1                | 1            |                    |
| 3   | rule   | 80    | 200                | 300              | true        | 0.75             | 1            |                    |
| 4   | rule   | 80    | 325                | 400              | true        | 0.9              | 1            | factor_while_hot, temperature_from_c |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.messages import say
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings, those
from tallyhook.rules.package._round_numbers import A_ROUND_NUMBER, is_round


@rule(severity=ERROR, reads="use.heat-factors", since="0.1.0")
def heat_factor_rises_with_temperature(heat: pd.DataFrame) -> pd.DataFrame:
    ordered = heat.sort_values(["source", "grade", "temperature_to_c", "to_included"])
    table = [ordered["source"], ordered["grade"]]
    below = ordered.groupby(["source", "grade"])[
        ["temperature_to_c", "factor_while_hot", "factor_after"]
    ].shift()
    first = below["temperature_to_c"].isna()
    parts = []
    for column in ("factor_while_hot", "factor_after"):
        rises = ordered[column] > below[column]
        weak = first & ordered[column].notna() & (ordered[column] != 1)
        twentieths = ordered[column] * 20
        odd = ordered[column].notna() & ((twentieths - twentieths.round()).abs() > 1e-6)
        broken = rises | weak | odd
        wanted = below[column].fillna(1.0)
        parts.append(findings(ordered[broken], column=column, expected=wanted[broken]))
    less_after = ordered["factor_after"] < ordered["factor_while_hot"]
    parts.append(
        findings(
            ordered[less_after],
            column="factor_after",
            expected=ordered["factor_while_hot"][less_after],
        )
    )
    steps = ordered["temperature_from_c"].groupby(table).transform("count") > 1
    gap = steps & ~first & (ordered["temperature_from_c"] != below["temperature_to_c"])
    parts.append(
        findings(ordered[gap], column="temperature_from_c", expected=below["temperature_to_c"][gap])
    )
    for column in ("temperature_from_c", "temperature_to_c"):
        crooked = (pd.notna(v) and not is_round(float(v), "degC") for v in ordered[column])
        parts.append(findings(those(ordered, crooked), column=column, expected=say(A_ROUND_NUMBER)))
    return pd.concat(parts)
