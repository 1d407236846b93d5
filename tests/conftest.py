"""What tests of several rooms share: the rating packages, a browser, an office program."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from tallyhook.packages.package import Package, built_in_packages
from tallyhook.packages.reference import reference_ratings
from tallyhook.reporting import formats, several
from tallyhook.reporting.report import Report

sys.path.insert(0, str(Path(__file__).parent))  # the tests' own helpers

from programs import BROWSER, OFFICE, library, path_of
from report_checks import valid_json, valid_ndjson, watched


@pytest.fixture(scope="session")
def packages() -> dict[str, Package]:
    return built_in_packages()


@pytest.fixture(scope="session")
def reference(packages: dict[str, Package]) -> pl.DataFrame:
    return reference_ratings(packages)


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """A browser that asks the web for nothing of its own."""
    path, api = path_of(BROWSER), library("playwright.sync_api")
    with api.sync_playwright() as play:
        started = play.chromium.launch(
            executable_path=path,
            args=[
                "--no-sandbox",  # CI runs as root
                "--disable-gpu",
                "--disable-quic",
                "--disable-background-networking",
                "--disable-component-update",
                "--disable-sync",
                "--no-first-run",
            ],
        )
        yield started
        started.close()


@pytest.fixture(scope="session")
def office() -> str:
    return path_of(OFFICE)


@pytest.fixture(scope="session", autouse=True)
def _every_report_follows_its_schema() -> Iterator[None]:
    """Hold every JSON and NDJSON report that any test makes in this process against its schema."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Report, "json_pieces", watched(Report.json_pieces, valid_json))
        patch.setattr(
            several, "several_json_pieces", watched(several.several_json_pieces, valid_json)
        )
        patch.setattr(formats, "ndjson_pieces", watched(formats.ndjson_pieces, valid_ndjson))
        yield
