"""What causes are found by, and short ways to ask what a mistake would leave."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import polars as pl
import pytest

from cause_items import Made, item
from tallyhook.explaining.candidates import Knowledge, predictions
from tallyhook.explaining.facts import trade_facts
from tallyhook.explaining.nature import causes_of
from tallyhook.explaining.series import RatingSeries
from tallyhook.packages.package import Package
from tallyhook.units import factor


@pytest.fixture(scope="session")
def series(reference: pl.DataFrame) -> RatingSeries:
    return RatingSeries(reference)


@pytest.fixture(scope="session")
def known(series: RatingSeries, packages: Mapping[str, Package]) -> Knowledge:
    causes = causes_of(packages["vocabulary"]["causes"])
    return Knowledge(series=series, facts=trade_facts(packages), causes=causes)


@pytest.fixture(scope="session")
def made(known: Knowledge) -> Made:
    """Say what a mistake would leave in the list, in its own unit, with the words for it."""

    def made_by(cause: str, **fields: Any) -> list[tuple[float, str]]:
        found = predictions(item(**fields), known).get(cause, [])
        one = factor(fields["wll_unit"], "kg")
        return sorted({(float(f"{p.kg / one:.5g}"), p.how) for p in found})

    return made_by
