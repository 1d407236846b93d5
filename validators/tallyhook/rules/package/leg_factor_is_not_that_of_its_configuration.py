"""A sling's leg factor, legs or angles are not those of its configuration.

## What it checks
Each row of the sling table has the leg factor and the angle range that the leg-factor table of the
same family gives for its configuration: ASME B30.9 for American slings, EN 818 for European ones.
The number of legs is the one the configuration names.

## Why it matters
The factor is what a row's rating is made of; a wrong one makes the whole column wrong.

## Likely cause
The factor of the other angle range, or an included angle written as an angle to the vertical.

## Example
`chain.slings`

| row | scheme   | source   | configuration | legs | angle_from_deg | angle_to_deg | leg_factor | finding    |
| --- | -------- | -------- | ------------- | ---- | -------------- | ------------ | ---------- | ---------- |
| 2   | european | en-818-4 | 2-leg         | 2    | 0              | 45           | 1.4        |            |
| 3   | european | en-818-4 | 2-leg         | 2    | 45             | 60           | 1.4        | leg_factor |
| 4   | european | en-818-4 | 3-leg         | 4    | 0              | 45           | 2.1        | legs       |

`use.leg-factors`

| row | source   | configuration | angle_from_deg | angle_to_deg | leg_factor |
| --- | -------- | ------------- | -------------- | ------------ | ---------- |
| 2   | en-818-4 | 2-leg         | 0              | 45           | 1.4        |
| 3   | en-818-4 | 2-leg         | 45             | 60           | 1          |
| 4   | en-818-4 | 3-leg         | 0              | 45           | 2.1        |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import beside, findings

_FAMILY = {"us-chain": "asme-b30-9", "european": "en-818-4"}


@rule(severity=ERROR, reads=("chain.slings", "use.leg-factors"), since="0.1.0")
def leg_factor_is_not_that_of_its_configuration(
    slings: pd.DataFrame, factors: pd.DataFrame
) -> pd.DataFrame:
    given = factors.rename(columns={"source": "family"})
    wanted = slings.assign(family=slings["scheme"].map(_FAMILY))
    full = beside(
        wanted[wanted["family"].notna()],
        given,
        ["family", "configuration", "angle_to_deg"],
        ["angle_from_deg", "leg_factor"],
    )
    parts = []
    for column in ("leg_factor", "angle_from_deg"):
        expected = full[f"{column}_other"]
        # written as "not equal" so that a row the factor table does not know is found too
        # (1.7321 and 1.732 are one factor)
        broken = ~((full[column] - expected).abs() <= 0.001 * expected)
        parts.append(findings(full[broken], column=column, expected=expected[broken]))
    named = pd.to_numeric(slings["configuration"].str.extract(r"^(\d+)-leg$")[0])
    wrong = named.notna() & (slings["legs"] != named)
    parts.append(findings(slings[wrong], column="legs", expected=named[wrong]))
    return pd.concat(parts)
