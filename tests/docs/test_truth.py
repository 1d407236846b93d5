"""The page of the truth, counted anew from the CSV files (docs/promises.md, the words of known_by)."""

from __future__ import annotations

import csv
from collections import Counter
from pathlib import Path

import pytest

from tallyhook.docs.truth import LEAST_NAMED, WHY_PRACTICE, cells_by_table, truth_page
from tallyhook.packages.descriptors import KNOWN_BY, NAMED, PRACTICE
from tallyhook.packages.package import Package
from tallyhook.packages.reference import reference_ratings

DATASETS = Path(__file__).resolve().parents[2] / "datasets"
# the numbers of each table that are no part of its key
NUMBERS = {
    "chain.ratings": ("wll_kg", "wll_lb"),
    "chain.slings": ("legs", "leg_factor", "wll_kg", "wll_lb"),
    "hooks.chain-hooks": ("wll_kg", "wll_lb"),
    "grab-hooks.ratings": ("wll_kg", "wll_lb"),
}


@pytest.mark.parametrize("table", NUMBERS)
def test_the_page_counts_what_stands_in_the_files(table: str, packages: dict[str, Package]) -> None:
    package, name = table.split(".")
    with (DATASETS / package / "data" / f"{name}.csv").open(encoding="utf-8") as lines:
        rows = list(csv.DictReader(lines))
    counted = Counter(
        row.get(f"{column}_known_by") or row["known_by"]
        for row in rows
        for column in NUMBERS[table]
        if row[column]
    )
    [found] = cells_by_table(packages).filter(table=table).to_dicts()
    assert {word: found[word] for word in KNOWN_BY} == {word: counted[word] for word in KNOWN_BY}
    line = next(x for x in truth_page(packages).splitlines() if x.startswith(f"| {table} |"))
    assert f"| {found['cells']:,} |" in line


def test_a_table_that_lets_rows_pass_is_named_or_says_why_not(packages: dict[str, Package]) -> None:
    for row in cells_by_table(packages).to_dicts():
        if row["table"] in WHY_PRACTICE:
            can_pass = row["cells"] - row["recalled"]
            named = sum(row[word] for word in NAMED) / can_pass
            assert named >= LEAST_NAMED or WHY_PRACTICE[row["table"]], row["table"]


def test_no_number_of_ours_is_a_maker_s_or_one_page_s(packages: dict[str, Package]) -> None:
    assert cells_by_table(packages)["maker"].sum() == 0
    passing = reference_ratings(packages).filter(known_by="practice")
    assert "single-page-practice" not in set(passing["source"])
    of_memory = {"recalled", "single-page-practice"}
    assert not of_memory & set(reference_ratings(packages)["source"])


def test_practice_is_of_no_document_and_a_restatement_of_one(packages: dict[str, Package]) -> None:
    documents = packages["sources"]["documents"]
    nameless = set(documents.filter(kind="trade-practice")["source"])
    ratings = reference_ratings(packages).drop_nulls("rating_id")
    practice = ratings.filter(known_by=PRACTICE, unit="kg", kind="grab-hook")
    assert set(practice["source"]) <= nameless
    restated = ratings.filter(known_by="restated")
    assert not set(restated["source"]) & nameless
