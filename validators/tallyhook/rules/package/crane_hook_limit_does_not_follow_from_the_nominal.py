"""A crane hook's inspection limit is not its factor times the nominal dimension.

## What it checks
- Where a nominal dimension stands beside the limit: limit = nominal x factor, to one decimal (DIN
  15405-1: seat height 0.95, throat and gauge length 1.1).
- A nominal dimension has at most one decimal.
- Within one family of documents a dimension has one factor.
- A factor or an angle without a limit in millimetres is the one that the inspection limits give for
  the same document and criterion.

## Why it matters
The limit is what the inspector measures against; a hook beyond it is taken off the crane.

## Likely cause
A digit, or the limit of the next hook number.

## Example
`hooks.crane-hook-limits`

| row | source      | hook_type | hook_number | dimension      | nominal_mm | limit_mm | limit_factor | limit_deg | finding      |
| --- | ----------- | --------- | ----------- | -------------- | ---------- | -------- | ------------ | --------- | ------------ |
| 2   | din-15401   | single    | 1           | seat-height    | 40         | 38       | 0.95         |           |              |
| 3   | din-15401   | single    | 4           | seat-height    | 67         | 63.7     | 0.95         |           |              |
| 4   | din-15401   | single    | 6           | seat-height    | 85         | 83       | 0.95         |           | limit_mm     |
| 5   | din-15405-1 | any       | any         | seat-height    |            |          | 0.9          |           | limit_factor |
| 6   | din-15401   | single    | 8           | seat-height    |            | 90.3     | 0.95         |           |              |
| 7   | gb-t-10051  | any       | any         | twist          |            |          |              | 10        |              |

`inspection.limits`

| row | source      | item       | criterion   | value_percent | value_deg |
| --- | ----------- | ---------- | ----------- | ------------- | --------- |
| 2   | din-15405-1 | crane-hook | seat-height | 5             |           |
| 3   | gb-t-10051  | crane-hook | twist       |               | 10        |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import beside, findings


@rule(severity=ERROR, reads=("hooks.crane-hook-limits", "inspection.limits"), since="0.1.0")
def crane_hook_limit_does_not_follow_from_the_nominal(
    hooks: pd.DataFrame, limits: pd.DataFrame
) -> pd.DataFrame:
    expected = hooks["nominal_mm"] * hooks["limit_factor"]
    wrong = (hooks["limit_mm"] - expected).abs() > 0.0501
    fine = (hooks["nominal_mm"] - hooks["nominal_mm"].round(1)).abs() > 1e-6
    sized = hooks[hooks["limit_mm"].notna()]
    usual = sized.groupby(["source", "dimension"])["limit_factor"].transform("median")
    unlike = (sized["limit_factor"] - usual).abs() > 1e-9
    general = hooks[hooks["limit_mm"].isna()].rename(columns={"dimension": "criterion"})
    crane = limits[limits["item"].isin(["crane-hook", "double-crane-hook"])]
    both = beside(general, crane, ["source", "criterion"], ["value_percent", "value_deg"])
    share = both["value_percent"] / 100
    # a share that is worn off is written as it is, a dimension as what is left of it or grown to
    as_factor = share.where(both["criterion"] == "wear", 1 + share)
    as_factor = as_factor.where(both["criterion"] != "seat-height", 1 - share)
    parts = [
        findings(hooks[wrong], column="limit_mm", expected=expected[wrong]),
        findings(hooks[fine], column="nominal_mm", expected=hooks["nominal_mm"][fine].round(1)),
        findings(sized[unlike], column="limit_factor", expected=usual[unlike]),
    ]
    for column, given in (("limit_factor", as_factor), ("limit_deg", both["value_deg"])):
        differs = both[column].notna() & ~((both[column] - given).abs() < 1e-9)
        parts.append(findings(both[differs], column=column, expected=given[differs]))
    return pd.concat(parts)
