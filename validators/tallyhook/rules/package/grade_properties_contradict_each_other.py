"""A property of a grade contradicts its number, its family or its heat table.

## What it checks
- The breaking stress is ten times the grade number in N/mm2; the old grade 6 has 630 (EN 818-1).
- The design factor is 4, and 3 for grade 43; the tie-down grades have the properties of the same
  grade of chain.
- Chain for overhead lifting stretches 20 % before it breaks, other American chain 15 %.
- The highest temperature without a loss is, within 1 degC, the one up to which the heat table of
  the same family gives the full rating.
- A temperature limit is a round number in degC or in degF.

## Why it matters
Design factor and stress turn a breaking force into a rating; a wrong one moves a whole column.

## Likely cause
A property of the neighbouring grade, or a digit.

## Example
`chain.grades`

| row | scheme   | grade | breaking_stress_n_mm2 | design_factor | proof_to_wll | elongation_percent | overhead_lifting | temperature_min_c | temperature_max_c | finding       |
| --- | -------- | ----- | --------------------- | ------------- | ------------ | ------------------ | ---------------- | ----------------- | ----------------- | ------------- |
| 2   | us-chain | 43    | 430                   | 4             | 1.5          | 15                 | false            |                   |                   | design_factor |
| 3   | us-chain | 80    | 800                   | 4             | 2            | 20                 | true             | -40               | 204               |               |
| 4   | european | 80    | 800                   | 4             | 2.5          |                    | true             | -42               | 200               | temperature_min_c |

`use.heat-factors`

| row | source     | grade | temperature_to_c | factor_while_hot |
| --- | ---------- | ----- | ---------------- | ---------------- |
| 2   | asme-b30-9 | 80    | 204              | 1                |
| 3   | asme-b30-9 | 80    | 204              | 0.9              |
| 4   | en-818-6   | 80    | 200              | 1                |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.messages import say
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import beside, findings, numbers, unlike
from tallyhook.rules.package._round_numbers import A_ROUND_NUMBER

# whose heat table holds for a scheme's grades
_HEAT = {"us-chain": ["asme-b30-9"], "european": ["en-818-6", "european-grade-10-practice"]}


@rule(severity=ERROR, reads=("chain.grades", "use.heat-factors"), since="0.1.0")
def grade_properties_contradict_each_other(
    grades: pd.DataFrame, heat: pd.DataFrame
) -> pd.DataFrame:
    stress = 10.0 * grades["grade"].where(grades["scheme"] != "old-grade-6", 63)
    factor = numbers(grades["grade"], lambda g: 3.0 if g == 43 else 4.0)
    # the European tables that were read print no elongation
    elongation = numbers(grades["overhead_lifting"], {True: 20.0, False: 15.0})
    parts = [
        unlike(grades, "breaking_stress_n_mm2", stress),
        unlike(grades, "design_factor", factor),
        unlike(grades, "elongation_percent", elongation),
        unlike(grades, "temperature_max_c", _full_up_to(grades, heat), within=1.0),
    ]
    law = grades[grades["scheme"] == "us-tiedown"]
    chain = grades[grades["scheme"] == "us-chain"]
    both = beside(law, chain, ["grade"], ["proof_to_wll"])
    parts.append(unlike(both, "proof_to_wll", both["proof_to_wll_other"]))
    for column in ("temperature_min_c", "temperature_max_c"):
        limit = grades[column]
        crooked = limit.notna() & ~(_round(limit, 0.0) | _round(limit * 1.8 + 32, 1.0))
        parts.append(findings(grades[crooked], column=column, expected=say(A_ROUND_NUMBER)))
    return pd.concat(parts)


def _full_up_to(grades: pd.DataFrame, heat: pd.DataFrame) -> pd.Series:
    full = heat[heat["factor_while_hot"] == 1]
    tops = [
        full[(full["grade"] == g) & full["source"].isin(_HEAT.get(s, []))]["temperature_to_c"].max()
        for s, g in zip(grades["scheme"], grades["grade"], strict=True)
    ]
    return pd.Series(tops, index=grades.index, dtype=float)


def _round(limit: pd.Series, slack: float) -> pd.Series:
    """Whether a limit is a multiple of ten, give or take the rounding of a conversion."""
    return (limit - (limit / 10).round() * 10).abs() <= slack
