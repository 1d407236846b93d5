"""Lists that rate in two units: both are held against the tables, and neither hides the other.

Ratings are those of 49 CFR 393.108 (table of chain): 3/8 in grade 80 is 7,100 lb or 3,200 kg,
1/2 in 12,000 lb or 5,400 kg, 5/8 in 18,100 lb or 8,200 kg. The breaking force is four times the
rating (ASTM A391, as restated).
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import polars as pl
import pytest

from checked_lists import checked_lines
from tallyhook.reporting.report import Report


def findings(report: Report) -> list[tuple[Any, ...]]:
    return report.stock_findings.select("severity", "row", "column", "cause").rows()


@pytest.mark.parametrize(
    ("kg", "lb", "expected"),
    [
        ("3200", "7100", []),
        ("3200", "28400", [("danger", 2, "WLL lb", "breaking-force-as-wll")]),
        ("7100", "7100", [("danger", 2, "WLL kg", "pounds-as-kilograms")]),
        ("3200", "3200", [("error", 2, "WLL lb", "kilograms-as-pounds")]),
        # both are too high: the pounds of an American list are told, and that the two disagree
        ("12800", "71000", [("danger", 2, "WLL lb", "decimal-point-shifted")]),
        # one too low, the other too high: the danger is told
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
    right = ["7100", "3200"] if pounds_first else ["3200", "7100"]
    report = checked_lines(
        tmp_path,
        ",".join(["Description", *heads]),
        *(",".join(["3/8 in grade 80 alloy chain", *row]) for row in (loads, right, right)),
    )
    disagree = [("error", 2, "WLL kg", None)] if expected else []
    assert findings(report) == [*expected, *disagree]
    assert report.counts["contradicted"] == bool(expected)
    assert report.failed("danger") == any(f[0] == "danger" for f in expected)


def test_a_row_with_an_error_in_either_unit_does_not_agree(tmp_path: Path) -> None:
    # rows 4 and 5 have one unit only, so that either column is a column of ratings
    report = checked_lines(
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
    report = checked_lines(tmp_path, "Description,WLL lb,WLL kg", *rows)
    danger = report.stock_findings.filter(pl.col("severity") == "danger")
    assert danger["row"].to_list() == [2, 8, 14, 20, 26, 32]
    # where every row has it, it is one
    report = checked_lines(tmp_path, "Description,WLL lb,WLL kg", *[wrong] * 36)
    (one,) = report.stock_findings.filter(pl.col("severity") == "danger").iter_rows(named=True)
    assert (one["column"], len(one["rows"])) == ("WLL kg", 36)


BARE_TONS = "WLL (tons)"
RIGHT_IN_TONS = ("3/8 grade 80 chain,7100,3.55", "1/2 grade 80 chain,12000,6")


# 7,100 lb are 3.55 tons of 2,000 lb and 3.22 t
@pytest.mark.parametrize("tons", ["3.55", "3.5", "3.22", "3.2"])
def test_a_second_rating_in_bare_tons_that_fits_either_ton_is_silent(
    tons: str, tmp_path: Path
) -> None:
    row = f"3/8 grade 80 chain,7100,{tons}"
    report = checked_lines(tmp_path, f"Description,WLL (lb),{BARE_TONS}", row, *RIGHT_IN_TONS)
    assert findings(report) == []
    assert report.counts["agree"] == 3


@pytest.mark.parametrize("tons", ["14.2", "7100"])  # the breaking force, the pounds again
def test_a_second_rating_in_bare_tons_off_in_either_ton_is_held(tons: str, tmp_path: Path) -> None:
    row = f"3/8 grade 80 chain,7100,{tons}"
    report = checked_lines(tmp_path, f"Description,WLL (lb),{BARE_TONS}", row, *RIGHT_IN_TONS)
    found = report.stock_findings.select("rule", "severity", "row", "column").rows()
    assert found == [
        ("rated-above-every-source", "danger", 2, BARE_TONS),
        ("the-two-units-disagree", "error", 2, BARE_TONS),
    ]
    assert dict(report.matched.select("row", "outcome").iter_rows()) == {
        2: "contradicted", 3: "agree", 4: "agree",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("loads", "column"),
    [
        ("3200,3.2,7100", None),
        ("3200,3.2,28400", "WLL (lb)"),  # the breaking force, in each column by itself
        ("3200,12.8,7100", "WLL (t)"),
        ("12800,3.2,7100", "WLL (kg)"),
    ],
)
def test_a_third_rating_is_held_against_the_tables(
    loads: str, column: str | None, tmp_path: Path
) -> None:
    report = checked_lines(
        tmp_path,
        "Description,WLL (kg),WLL (t),WLL (lb)",
        f"3/8 grade 80 chain,{loads}",
        "3/8 grade 80 chain,3200,3.2,7100",
        "1/2 grade 80 chain,5400,5.4,12000",
    )
    danger = [f for f in findings(report) if f[0] == "danger"]
    expected = [("danger", 2, column, "breaking-force-as-wll")] if column else []
    assert danger == expected
    disagree = report.stock_findings.filter(pl.col("rule") == "the-two-units-disagree")
    assert disagree["row"].to_list() == [2] * bool(column)


def test_a_ton_is_not_settled_by_what_stands_beside_another(tmp_path: Path) -> None:
    # 3.4 t are above the 3,200 kg of 3/8 in grade 80; 3.4 short tons are 6,800 lb, below 7,100 lb
    report = checked_lines(
        tmp_path,
        "Description,WLL",
        "3/8 in grade 80 chain,1 ton / 3.4 t",
        "3/8 in grade 80 chain,3.4 ton",
    )
    outcomes = dict(report.matched.select("row", "outcome").iter_rows())
    assert outcomes == {2: "contradicted", 3: "not compared"}


def test_the_note_on_tons_is_on_the_load_it_is_about(tmp_path: Path) -> None:
    report = checked_lines(
        tmp_path,
        "Description,WLL",
        "3/8 in grade 80 chain,3.55 ton / 28400 lb",
        "1/2 in grade 80 chain,24 ton",
    )
    danger = report.stock_findings.filter(pl.col("severity") == "danger")
    notes = {row: (load, note) for row, load, note in danger["row", "observed", "note"].iter_rows()}
    assert notes[2][0] == "28400 lb"
    assert "ton" not in (notes[2][1] or "")
    # 24 short tons are 48,000 lb, four times 12,000 lb
    assert "'24 ton' may be short tons" in notes[3][1]


@pytest.mark.parametrize(
    ("size", "pounds", "kilograms", "held"),
    [
        ("3/8", 7100, 3300, True),  # 2.5 percent above what the pounds convert to
        ("3/8", 7100, 3220, False),  # converted
        ("3/8", 7100, 3200, False),  # as the law prints it
        ("7/32", 2100, 970, False),  # as the tables of American chain print it, 1.8 percent apart
        ("1/2", 12000, 5450, False),  # 5,443 kg rounded to fifty
        ("1/4", 3500, 1625, True),  # 2.4 percent above what the pounds convert to
    ],
)
def test_a_second_load_above_the_tables_is_held_beside_a_right_first_one(
    size: str, pounds: int, kilograms: int, held: bool, tmp_path: Path
) -> None:
    row = f"{size} in grade 80 lifting chain,{pounds},{kilograms}"
    right = "5/8 in grade 80 lifting chain,18100,8200"
    report = checked_lines(tmp_path, "Description,WLL (lb),WLL (kg)", row, right)
    danger = [f[:3] for f in findings(report) if f[0] == "danger"]
    assert danger == ([("danger", 2, "WLL (kg)")] if held else [])
    assert report.counts["contradicted"] == held


def test_a_wrong_second_unit_strikes_only_its_own_item_of_a_matrix(tmp_path: Path) -> None:
    # 28,300 lb (American) and 12.5 t (EN 818-2) both are ratings of 3/4 in, 20 mm, grade 80, but
    # not of one part; grade 100 is 35,300 lb or 16,000 kg (ASTM A973, as restated)
    report = checked_lines(
        tmp_path,
        "Description,Size,Grade 80 WLL (lb),Grade 80 WLL (kg),Grade 100 WLL (lb),Grade 100 WLL (kg)",
        "Lifting chain,3/8,7100,3200,8800,4000",
        "Lifting chain,3/4,28300,12500,35300,16000",
    )
    assert findings(report) == [("error", 3, "Grade 80 WLL (kg)", None)]
    outcomes = report.matched.sort("row", "grade")["row", "grade", "outcome"].rows()
    assert outcomes == [
        (2, 80, "agree"), (2, 100, "agree"), (3, 80, "contradicted"), (3, 100, "agree"),
    ]  # fmt: skip
    assert (report.counts["agree"], report.counts["contradicted"]) == (3, 1)
