"""Rules on rating packages; each takes pandas frames and returns a pandas frame of findings."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pandas as pd

__all__ = ["findings"]


def findings(
    broken: pd.DataFrame,
    *,
    column: str,
    expected: Any = None,
    observed: Any = None,
    ratio: Any = None,
    cause: str | None = None,
    note: Any = None,
    key: Sequence[str] = (),
) -> pd.DataFrame:
    """Turn the rows that break a rule into findings.

    Parameters
    ----------
    broken : frame
        The offending rows, indexed by ``row`` (the line in the CSV file).
    column : str
        The column that is wrong; its value is what was observed unless `observed` is given.
    expected, observed, ratio, note : series or scalar
        Aligned with `broken` by index. The ratio of two numbers is computed when it is not given.
    key : sequence of str
        Columns that name the item, for frames that were made by a join; the runner fills the
        item from the table's primary key otherwise.
    """
    found = pd.DataFrame(index=broken.index)
    found["row"] = broken.index
    found["column"] = column
    found["observed"] = broken[column] if observed is None else observed
    found["expected"] = expected
    if ratio is None:
        top, bottom = (pd.to_numeric(found[c], errors="coerce") for c in ("observed", "expected"))
        ratio = top / bottom.where(bottom != 0)
    found["ratio"] = ratio
    found["cause"] = cause
    found["note"] = note
    for name in ("source", "locator"):
        found[name] = broken[name] if name in broken else None
    if key:
        found["item"] = broken[list(key)].astype(str).agg("/".join, axis=1)
    return found
