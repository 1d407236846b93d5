"""Rules on rating packages; each takes pandas frames and returns a pandas frame of findings.

A rule names what it reads: a table (``chain.ratings``), or one of the views of all packages that
`tallyhook.auditing.views` makes (``values``, ``fields``, ``files`` ...). Every frame is indexed by ``row``,
the line in its CSV file. What a rule finds is about the first table it reads, unless the frame of
findings has a column ``table``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import pandas as pd

from tallyhook.messages import say

__all__ = [
    "SAME_FINDING",
    "beside",
    "findings",
    "half_up",
    "inches",
    "numbers",
    "say_each_row",
    "those",
    "unlike",
]

SAME_FINDING = ["file", "rule", "item", "column", "observed"]
"""What makes a finding the one that a known oddity records."""


def findings(
    broken: pd.DataFrame,
    *,
    column: Any,
    expected: Any = None,
    observed: Any = None,
    ratio: Any = None,
    cause: str | None = None,
    note: Any = None,
) -> pd.DataFrame:
    """Turn the rows that break a rule into findings.

    Parameters
    ----------
    broken : frame
        The offending rows, indexed by ``row`` (the line in the CSV file). A column ``table``
        says which table each row is of, where a rule reads several at once.
    column : str or series
        The column that is wrong; its value is what was observed unless `observed` is given.
    expected, observed, ratio, note : series or scalar
        Aligned with `broken` by index. The ratio of two numbers is computed when it is not given.
        What was observed is the same in every language of output: known oddities record it.
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
    for name in ("table", "source", "locator"):
        if name in broken:
            found[name] = broken[name]
    return found


def unlike(
    frame: pd.DataFrame, column: str, expected: pd.Series, *, within: float = 1e-9
) -> pd.DataFrame:
    """Find the rows whose value is not the expected one, give or take `within`.

    A row without a value, or without an expected one, is not found.
    """
    broken = (frame[column] - expected).abs() > within
    return findings(frame[broken], column=column, expected=expected[broken])


def say_each_row(message: str, **parts: pd.Series) -> pd.Series:
    """Give a message for every row of a frame; the parts are columns of it, empty where one is.

    Examples
    --------
    >>> say_each_row("unit {unit}", unit=pd.Series(["kg", "t"])).to_list()
    ['unit kg', 'unit t']
    """
    rows = pd.DataFrame(parts)
    texts = [
        None if any(map(pd.isna, values)) else say(message, **dict(zip(parts, values, strict=True)))
        for values in rows.itertuples(index=False, name=None)
    ]
    return pd.Series(texts, index=rows.index, dtype=object)


def beside(
    frame: pd.DataFrame, other: pd.DataFrame, on: Sequence[str], columns: Sequence[str]
) -> pd.DataFrame:
    """Put columns of another table beside a frame's rows, where the `on` columns agree.

    The frame keeps its rows and its index; a row without a partner gets nulls. The other table
    is to have one row for each value of `on`.
    """
    right = other[[*on, *columns]].drop_duplicates(list(on))
    joined = frame.reset_index().merge(right, on=list(on), how="left", suffixes=("", "_other"))
    return joined.set_index("row")


def numbers(series: pd.Series, lookup: Any) -> pd.Series:
    """Map a column to numbers: by a function or a mapping, a number even when it is empty."""
    return series.map(lookup, na_action="ignore").astype(float)


def those(frame: pd.DataFrame, chosen: Iterable[bool]) -> pd.DataFrame:
    """Take the rows for which `chosen`, one for each row, is true; none of no rows."""
    return frame[pd.Series(list(chosen), index=frame.index, dtype=bool)]


def half_up(value: float, digits: int) -> float:
    """Round as printed tables do, halves away from zero: 1.25 is 1.3 to one decimal.

    Examples
    --------
    >>> half_up(1.25, 1), half_up(0.95, 1), half_up(1286.8, -1)
    (1.3, 1.0, 1290.0)
    """
    # through nine decimals, so that 0.05 * 19 = 0.9500000000000001 counts as the half it is
    exact = Decimal(f"{value:.9f}")
    return float(exact.quantize(Decimal(1).scaleb(-digits), rounding=ROUND_HALF_UP))


def inches(size: str) -> float:
    """Give the length that an inch size names [in]: ``1-1/4`` is 1.25; not a number if it is none.

    Examples
    --------
    >>> inches("3/8"), inches("1-1/4"), inches("2")
    (0.375, 1.25, 2.0)
    """
    total = 0.0
    try:
        for part in size.replace("-", " ").split():
            top, _, bottom = part.partition("/")
            total += int(top) / int(bottom or 1)
    except (ValueError, ZeroDivisionError):
        return float("nan")
    return total or float("nan")
