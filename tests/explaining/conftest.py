"""The published ratings as ladders, and short ways to ask what a mistake would leave."""

from __future__ import annotations

from typing import Any

import polars as pl
import pytest

from cause_items import Made, item
from tallyhook.explaining.causes import predictions
from tallyhook.explaining.ladders import Ladders
from tallyhook.units import factor


@pytest.fixture(scope="session")
def ladders(reference: pl.DataFrame) -> Ladders:
    return Ladders(reference)


@pytest.fixture(scope="session")
def made(ladders: Ladders) -> Made:
    """Say what a mistake would leave in the list, in its own unit, with the words for it."""

    def made_by(cause: str, **fields: Any) -> list[tuple[float, str]]:
        found = predictions(item(**fields), ladders)[cause]
        one = factor(fields["wll_unit"], "kg")
        return sorted({(float(f"{p.kg / one:.5g}"), p.how) for p in found})

    return made_by
