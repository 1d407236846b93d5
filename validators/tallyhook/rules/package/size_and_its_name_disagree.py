"""A size in millimetres is not the nominal size that its inch name stands for.

## What it checks
In every table with an inch name and a nominal size in mm, the pair is one of the size
vocabulary: 3/8 is 10 mm. In the vocabulary itself the length in inches is what the name says, and
a metric name's size is its number.

## Why it matters
A chain is found by either name and must have one rating under both.

## Likely cause
A row moved by one, or a bar diameter in the place of the nominal size.

## Example
`vocabulary.sizes`

| row | name | size_mm | value_in | finding  |
| --- | ---- | ------- | -------- | -------- |
| 2   | 3/8  | 10      | 0.375    |          |
| 3   | 5/16 | 8       | 0.516    | value_in |
| 4   | 8 mm | 10      |          | size_mm  |

`chain.ratings`

| row | size_in | size_mm | finding |
| --- | ------- | ------- | ------- |
| 2   | 3/8     | 10      |         |
| 3   | 5/16    | 8.4     | size_mm |
| 4   |         | 11.2    |         |

`chain.forces`

| row | size_in | size_mm |
| --- | ------- | ------- |
| 2   | 3/8     | 10      |

`chain.dimensions`

| row | size_in | size_mm |
| --- | ------- | ------- |
| 2   | 3/8     | 10      |

`chain.link-wear`

| row | size_in | size_mm |
| --- | ------- | ------- |
| 2   | 3/8     | 10      |
| 3   | 1-3/8   |         |

`chain.link-thickness`

| row | size_in | size_mm | finding |
| --- | ------- | ------- | ------- |
| 2   | 3/8     | 8       | size_mm |

`hooks.chain-hooks`

| row | size_in | size_mm |
| --- | ------- | ------- |
| 2   | 3/8     | 10      |

`grab-hooks.ratings`

| row | size_in | size_mm |
| --- | ------- | ------- |
| 2   | 3/8     | 10      |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import beside, findings, inches, numbers

TABLES = (
    "chain.ratings", "chain.forces", "chain.dimensions", "chain.link-wear",
    "chain.link-thickness", "hooks.chain-hooks", "grab-hooks.ratings",
)  # fmt: skip


@rule(severity=ERROR, reads=("vocabulary.sizes", *TABLES), since="0.1.0")
def size_and_its_name_disagree(sizes: pd.DataFrame, *tables: pd.DataFrame) -> pd.DataFrame:
    named = sizes[sizes["value_in"].notna()]
    said = numbers(named["name"], inches)
    wrong = (named["value_in"] - said).abs() > 1e-6
    metric = sizes["name"].str.extract(r"^([\d.]+) mm$")[0].astype(float)
    far = (sizes["size_mm"] - metric).abs() > 1e-9
    parts = [
        findings(named[wrong], column="value_in", expected=said[wrong]),
        findings(sizes[far], column="size_mm", expected=metric[far]),
    ]
    nominal = sizes.rename(columns={"name": "size_in", "size_mm": "nominal_mm"})
    for name, table in zip(TABLES, tables, strict=True):
        both = beside(table, nominal, ["size_in"], ["nominal_mm"])
        differs = (both["size_mm"] - both["nominal_mm"]).abs() > 1e-9
        parts.append(
            findings(
                both[differs].assign(table=name),
                column="size_mm",
                expected=both["nominal_mm"][differs],
            )
        )
    return pd.concat(parts)
