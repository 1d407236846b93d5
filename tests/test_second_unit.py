"""A rating in two units: both are held against the tables, and neither hides behind the other.

Ratings are those of 49 CFR 393.108 (table of chain): 3/8 in grade 80 is 7,100 lb or 3,200 kg,
1/2 in 12,000 lb or 5,400 kg, 5/8 in 18,100 lb or 8,200 kg. The breaking force is four times the
rating (ASTM A391, as restated).
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import polars as pl
import pytest

import tallyhook
from tallyhook.report import Report


def checked(folder: Path, *lines: str) -> Report:
    path = folder / "list.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return tallyhook.check(path)


def findings(report: Report) -> list[tuple[Any, ...]]:
    return report.stock_findings.select("severity", "row", "column", "cause").rows()


@pytest.mark.parametrize(
    ("kg", "lb", "expected"),
    [
        ("3200", "7100", []),
        ("3200", "28400", [("danger", 2, "WLL lb", "breaking-force-as-wll")]),
        ("7100", "7100", [("danger", 2, "WLL kg", "pounds-as-kilograms")]),
        ("3200", "3200", [("error", 2, "WLL lb", "kilograms-as-pounds")]),
        # both are too high: the first is told, and that the two disagree
        ("12800", "71000", [("danger", 2, "WLL kg", "breaking-force-as-wll")]),
        # the first too low, the second too high: the danger is told
        ("1600", "28400", [("danger", 2, "WLL lb", "breaking-force-as-wll")]),
    ],
)
@pytest.mark.parametrize("pounds_first", [True, False])
def test_the_second_load_is_held_against_the_tables(
    kg: str, lb: str, expected: list[tuple[Any, ...]], pounds_first: bool, tmp_path: Path
) -> None:
    heads, loads = ["WLL kg", "WLL lb"], [kg, lb]
    if pounds_first:
        heads, loads = heads[::-1], loads[::-1]
    if (kg, lb) == ("12800", "71000") and pounds_first:
        expected = [("danger", 2, "WLL lb", "decimal-point-shifted")]
    right = ["7100", "3200"] if pounds_first else ["3200", "7100"]
    report = checked(
        tmp_path,
        ",".join(["Description", *heads]),
        *(",".join(["3/8 in grade 80 alloy chain", *row]) for row in (loads, right, right)),
    )
    disagree = [("error", 2, heads[1], None)] if expected else []
    assert findings(report) == [*expected, *disagree]
    assert report.counts["contradicted"] == bool(expected)
    assert report.failed("danger") == any(f[0] == "danger" for f in expected)


def test_a_row_with_an_error_in_either_unit_does_not_agree(tmp_path: Path) -> None:
    # rows 4 and 5 have one unit only, so that either column is a column of ratings
    report = checked(
        tmp_path,
        "Description,WLL lb,WLL kg",
        "3/8 grade 80 chain,7100,3200",
        "3/8 grade 80 chain,7100,3400",
        "1/2 grade 80 chain,12000,",
        "1/2 grade 80 chain,,5400",
        # both are printed somewhere for 20 mm, but they are two ratings: 12.5 t in EN 818-2
        "3/4 grade 80 chain,28300,12500",
    )
    outcomes = dict(report.matched.select("row", "outcome").iter_rows())
    assert outcomes == {
        2: "agree", 3: "contradicted", 4: "agree", 5: "agree", 6: "contradicted",
    }  # fmt: skip
    assert report.counts["agree"] == 3
    assert report.counts["contradicted"] == 2


def test_some_wrong_rows_of_the_second_column_are_no_mistake_of_the_column(
    tmp_path: Path,
) -> None:
    right = "3/8 grade 80 chain,7100,3200"
    wrong = "3/8 grade 80 chain,7100,7100"
    rows = [wrong if n % 6 == 0 else right for n in range(36)]
    report = checked(tmp_path, "Description,WLL lb,WLL kg", *rows)
    danger = report.stock_findings.filter(pl.col("severity") == "danger")
    assert danger["row"].to_list() == [2, 8, 14, 20, 26, 32]
    # where every row has it, it is one
    report = checked(tmp_path, "Description,WLL lb,WLL kg", *[wrong] * 36)
    (one,) = report.stock_findings.filter(pl.col("severity") == "danger").iter_rows(named=True)
    assert (one["column"], len(one["rows"])) == ("WLL kg", 36)
