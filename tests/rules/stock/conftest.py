"""A short way to ask a stock rule what it finds in some rows."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import polars as pl
import pytest

from stock_items import found_by
from tallyhook.packages.package import Package

Ask = Callable[..., list[dict[str, Any]]]


@pytest.fixture(scope="session")
def ask(reference: pl.DataFrame, packages: dict[str, Package]) -> Ask:
    """Say what a rule finds in rows, as `stock_items` writes them; they are numbered from 2."""

    def asked(rule: str, *rows: Mapping[str, str]) -> list[dict[str, Any]]:
        numbered = [{"row": str(n)} | dict(row) for n, row in enumerate(rows, start=2)]
        return found_by(rule, numbered, reference, packages)

    return asked
