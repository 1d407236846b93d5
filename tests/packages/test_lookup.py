"""Rows that are looked up by the values of their columns, as they are written."""

from __future__ import annotations

import polars as pl
import pytest

from tallyhook.errors import PackageError
from tallyhook.packages.lookup import _like


def test_a_wanted_value_is_read_as_its_column_has_it() -> None:
    assert _like(pl.Series([True, None]), "true") is True
    assert _like(pl.Series([True, None]), "false") is False
    assert _like(pl.Series([1.5]), "10") == 10.0
    assert _like(pl.Series(["10"]), "10") == "10"


@pytest.mark.parametrize(
    ("cells", "says"),
    [(pl.Series([True]), "'yes' is neither true nor false"), (pl.Series([1]), "'yes' is not a")],
    ids=["booleans", "numbers"],
)
def test_a_value_that_the_column_cannot_hold_is_refused(cells: pl.Series, says: str) -> None:
    with pytest.raises(PackageError, match=says):
        _like(cells, "yes")
