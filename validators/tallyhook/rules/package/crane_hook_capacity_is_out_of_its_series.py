"""A crane hook's capacity is no number of its series, or out of line with its neighbours.

## What it checks
- The capacity of a forged hook is a preferred number of the series R10 (ISO 3, with 3.2 for 3.15).
- Within one document, type, class and group it never falls as the number of the hook grows.
- Where a document's numbers are tonnes (DIN 15400: in class M and group 3m the number itself), the
  capacity is the same multiple of the number for every hook of a class and group, within rounding.

## Why it matters
The number, the class and the group together are all that a forged crane hook is rated by.

## Likely cause
A digit, or the column of the next group.

## Example
`hooks.crane-hooks`

| row | source    | hook_type     | hook_number | strength_class | duty_group | wll_kg | finding |
| --- | --------- | ------------- | ----------- | -------------- | ---------- | ------ | ------- |
| 2   | din-15400 | forged        | 012         | M              | 3m         | 125    |         |
| 3   | din-15400 | forged        | 2.5         | M              | 3m         | 2500   |         |
| 4   | din-15400 | forged        | 4           | M              | 3m         | 5000   | wll_kg  |
| 5   | din-15400 | forged        | 6           | M              | 3m         | 6300   |         |
| 6   | din-15400 | forged        | 10          | M              | 3m         | 10000  |         |
| 7   | gost-6627 | single-forged | 23          | any            | M1-M3      | 53000  | wll_kg  |
| 8   | gost-6619 | single-plate  | 7           | any            | M1-M3      | 140000 |         |
| 9   | gost-6619 | single-plate  | 8           | any            | M1-M3      | 16000  | wll_kg  |
"""

from __future__ import annotations

import math

import pandas as pd

from tallyhook.messages import say
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings

_R10 = (1.0, 1.25, 1.6, 2.0, 2.5, 3.2, 4.0, 5.0, 6.3, 8.0)
_BIT = 1e-9
_WITHIN = 0.08  # a number as tonnes and its preferred number differ by up to 5 %, a step is 26 %
_MOST = 0.75  # the part of a class and group that makes a line


@rule(severity=ERROR, reads="hooks.crane-hooks", since="0.2.0")
def crane_hook_capacity_is_out_of_its_series(hooks: pd.DataFrame) -> pd.DataFrame:
    tonnes = hooks["hook_number"].map(_number).astype(float)
    forged = hooks["hook_type"].str.contains("forged")
    strange = forged & ~hooks["wll_kg"].map(_is_r10).astype(bool)
    alike = [hooks[c] for c in ("source", "hook_type", "strength_class", "duty_group")]
    ordered = hooks.assign(of=tonnes).sort_values("of", kind="stable")
    keys = ["source", "hook_type", "strength_class", "duty_group"]
    below = ordered.groupby(keys)["wll_kg"].shift().reindex(hooks.index)
    falls = (hooks["wll_kg"] < below) & ~strange
    share = hooks["wll_kg"] / tonnes
    median = share.groupby(alike).transform("median")
    off = (share / median - 1).abs() > _WITHIN
    line = (~off).astype(float).groupby(alike).transform("mean") >= _MOST
    leaves = off & line & ~strange & ~falls
    series = say("a number of the series R10")
    return pd.concat(
        [
            findings(hooks[strange], column="wll_kg", expected=series),
            findings(hooks[falls], column="wll_kg", expected=below[falls]),
            findings(hooks[leaves], column="wll_kg", expected=(median * tonnes)[leaves]),
        ]
    )


def _number(text: str) -> float:
    """Give the number of a hook as one: 012 is 0.12."""
    decimal = text.startswith("0") and "." not in text
    try:
        return float(f"0.{text[1:]}" if decimal else text)
    except ValueError:
        return math.nan


def _is_r10(load: float) -> bool:
    if not load > 0:
        return False
    lead = load / 10 ** math.floor(math.log10(load) + _BIT)
    return any(abs(lead - number) < 1e-6 for number in _R10)
