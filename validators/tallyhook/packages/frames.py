"""The tables of a package as rules and users take them: pandas frames by line of their file."""

from __future__ import annotations

import pandas as pd

from tallyhook.frames import to_pandas
from tallyhook.packages.package import FIRST_ROW, Package

__all__ = ["frame_of", "keys_of"]


def frame_of(package: Package, table: str) -> pd.DataFrame:
    """Hand out a table as rules take it: a pandas frame indexed by the line in its file."""
    frame = to_pandas(package.tables[table])
    frame.index = pd.RangeIndex(FIRST_ROW, FIRST_ROW + len(frame), name="row")
    return frame


def keys_of(package: Package, table: str) -> list[str]:
    """Name each row of a table by its primary key, as text joined with slashes."""
    key = package.resources[table].key
    text = package.text[table]
    if not key:
        return [str(n + FIRST_ROW) for n in range(text.height)]
    return ["/".join(parts) for parts in text.select(key).iter_rows()]
