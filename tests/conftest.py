from __future__ import annotations

import sys
from pathlib import Path

import polars as pl
import pytest

from tallyhook.packages.package import Package, built_in_packages
from tallyhook.packages.reference import reference_ratings

sys.path.insert(0, str(Path(__file__).parent))  # the tests' own helpers: stock_items


@pytest.fixture(scope="session")
def packages() -> dict[str, Package]:
    return built_in_packages()


@pytest.fixture(scope="session")
def reference(packages: dict[str, Package]) -> pl.DataFrame:
    return reference_ratings(packages)
