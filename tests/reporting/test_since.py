"""What is new, gone and still there since an earlier report, and why."""

from __future__ import annotations

import dataclasses
import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from stock_reports import ROWS, report_of

from tallyhook.errors import StockListError
from tallyhook.reporting.decisions import apply_decisions
from tallyhook.reporting.report import Report
from tallyhook.reporting.since import changelog_between, since


def _saved(tmp_path: Path, report: Report, **changed: Any) -> Path:
    path = tmp_path / "before.json"
    path.write_text(json.dumps(report.to_dict() | changed))
    return path


def _rows(findings: Any) -> list[tuple[str, str]]:
    return [(f["rule"], f["where"]) for f in findings]


def test_the_same_list_brings_nothing_new(tmp_path: Path) -> None:
    change = since(report_of(), _saved(tmp_path, report_of()))
    assert (change.new, change.gone, change.altered, change.packages) == ((), (), (), ())
    assert _rows(change.still) == [
        ("rated-above-every-source", "5"),
        ("rated-below-every-source", "6"),
    ]


def test_a_corrected_row_is_gone_and_a_spoilt_one_new(tmp_path: Path) -> None:
    rows = [r | {"lb": 6600} if r["part"] == "HP-4" else r for r in ROWS]
    rows = [r | {"lb": 13000} if r["part"] == "HP-1" else r for r in rows]
    change = since(report_of(rows), _saved(tmp_path, report_of()))
    assert [(f["where"], f["because"]) for f in change.new] == [
        ("2", "the row is new or was changed")
    ]
    assert [(f["where"], f["because"]) for f in change.gone] == [
        ("5", "the row was changed or removed")
    ]
    assert _rows(change.still) == [("rated-below-every-source", "6")]


def test_a_finding_that_moved_down_is_the_same(tmp_path: Path) -> None:
    rows = [ROWS[0] | {"part": "HP-0"}, *ROWS]
    change = since(report_of(rows), _saved(tmp_path, report_of()))
    assert (change.new, change.gone) == ((), ())
    assert _rows(change.still) == [
        ("rated-above-every-source", "6"),
        ("rated-below-every-source", "7"),
    ]


def test_another_number_in_the_row_is_told(tmp_path: Path) -> None:
    rows = [r | {"lb": 26000} if r["part"] == "HP-4" else r for r in ROWS]
    change = since(report_of(rows), _saved(tmp_path, report_of()))
    assert [(f["observed"], f["because"]) for f in change.altered] == [
        ("26,000 lb", "the list said 26,400 lb before")
    ]


def test_a_changed_package_is_named_where_the_list_is_as_it_was(tmp_path: Path) -> None:
    report = report_of()
    before = report.to_dict()
    # the same items without the finding of row 5, under an older edition of the chain ratings
    findings = [f for f in before["findings"] if f["row"] != 5]
    packages = before["packages"] | {"chain": "0.9.0", "inspection": "0.9.0"}
    change = since(report, _saved(tmp_path, report, findings=findings, packages=packages))
    now = report.packages["chain"]
    assert [(f["where"], f["because"]) for f in change.new] == [
        ("5", f"rating packages changed: chain 0.9.0 became {now}")
    ]
    assert {p.name: (p.before, p.now) for p in change.packages} == {
        "chain": ("0.9.0", now), "inspection": ("0.9.0", report.packages["inspection"])
    }  # fmt: skip
    assert all(p.entries for p in change.packages)


def test_a_rule_that_is_newer_than_the_report_is_named(tmp_path: Path) -> None:
    report = report_of()
    before = _saved(tmp_path, report, findings=[], version="0.0.9")
    assert {f["because"] for f in since(report, before).new} == {
        "the rule is new in tallyhook 0.1.0"
    }


def test_one_mistake_of_a_column_stays_one(tmp_path: Path) -> None:
    rows = [
        r | {"lb": round(r["lb"] * 0.4536), "part": f"K{n}"} for n, r in enumerate(ROWS[:3] * 4)
    ]
    change = since(report_of(rows[:9]), _saved(tmp_path, report_of(rows)))
    assert (change.new, change.gone) == ((), ()) and len(change.still) == 1


def test_every_finding_is_counted_once(tmp_path: Path) -> None:
    doubled = ROWS + ROWS
    change = since(report_of(doubled), _saved(tmp_path, report_of()))
    assert len(change.new) + len(change.still) == report_of(doubled).stock_findings.height
    assert len(change.gone) + len(change.still) == report_of().stock_findings.height


def test_the_changelog_between_two_versions(tmp_path: Path) -> None:
    (tmp_path / "CHANGELOG.md").write_text(
        "# Changelog\n\n## 1.2.0 - 2027-03-01\n\n| key | old | new | why | source |\n| --- | --- | --- | --- | --- |\n"
        "| us-chain/43/10 | 5400 | 5450 | misread | astm-a413 |\n\n## 1.1.0 - 2027-01-01\n\n- Added two sizes.\n"
        "\n## 1.0.0 - 2026-11-25\n\n- First edition.\n"
    )
    assert changelog_between(tmp_path, "1.0.0", "1.2.0") == (
        "us-chain/43/10; 5400; 5450; misread; astm-a413", "Added two sizes."
    )  # fmt: skip
    assert changelog_between(tmp_path, "1.0.0", "1.1.0") == ("Added two sizes.",)
    assert changelog_between(tmp_path, "1.9.0", "1.10.0") == ()
    assert changelog_between(tmp_path / "none", "1.0.0", "1.2.0") == ()


@pytest.mark.parametrize(
    "text",
    ["", "[]", "{}", "not json", '{"findings": [1], "items": [], "packages": {}, "version": "1"}'],
)
def test_what_is_no_report_is_refused(tmp_path: Path, text: str) -> None:
    (tmp_path / "x.json").write_text(text)
    with pytest.raises(StockListError):
        since(report_of(), tmp_path / "x.json")
    with pytest.raises(StockListError, match="cannot be read"):
        since(report_of(), tmp_path / "none.json")


def test_a_report_of_several_sheets_compares_by_sheet(tmp_path: Path) -> None:
    one = report_of(sheet="A")
    both = dataclasses.replace(one, layouts=(*one.layouts, *one.layouts))
    change = since(both, _saved(tmp_path, both))
    assert len(change.still) == 2 and not change.new


def test_an_accepted_finding_is_gone_for_that_reason(tmp_path: Path) -> None:
    decisions = tmp_path / "decisions.csv"
    decisions.write_text(
        "row_key,rule,decision,who,why,date\n"
        "HP-5,rated-below-every-source,accept,Ann,marked so,2026-11-20\n"
        "HP-9,rated-below-every-source,accept,Ann,marked so,2026-11-20\n"
    )
    done = apply_decisions(report_of(), decisions, today=date(2026, 11, 25))
    change = since(done.report, _saved(tmp_path, report_of()))
    assert [(f["where"], f["because"]) for f in change.gone] == [
        ("6", "it was accepted by a decision")
    ]
    assert [(f["rule"], f["because"]) for f in change.new] == [
        ("decision-matches-nothing", "the decisions were changed, or a day has passed")
    ]


def _of_the_first_form(report: Report) -> dict[str, Any]:
    """A report as it was before schema 2.0 (docs/report-format.md, "From 1.0")."""
    told = report.to_dict()
    del told["schema_version"], told["counts"]["accepted"]
    several = "sheets" in told
    for record in (*told["findings"], *told["items"], *told["not_compared"]):
        for name in (
            "file",
            "part",
            "index",
            "rating_id",
            "observed_kg",
            "expected_kg",
            "decision",
        ):
            record.pop(name, None)
        if not several:
            del record["sheet"]
    return told


@pytest.mark.parametrize("sheet", [None, "Stock"])
def test_a_report_of_the_first_form_is_read(tmp_path: Path, sheet: str | None) -> None:
    before = tmp_path / "before.json"
    before.write_text(json.dumps(_of_the_first_form(report_of(sheet=sheet))))
    change = since(report_of(sheet=sheet), before)
    assert (change.new, change.gone, change.altered) == ((), (), ())
    assert [f["where"] for f in change.still] == ["5", "6"]


def test_the_one_sheet_of_a_list_may_be_renamed(tmp_path: Path) -> None:
    before = _saved(tmp_path, report_of(sheet="November"))
    change = since(report_of(sheet="December"), before)
    assert (len(change.new), len(change.gone), len(change.still)) == (0, 0, 2)


def test_what_was_accepted_before_is_no_finding_of_then(tmp_path: Path) -> None:
    path = tmp_path / "decisions.csv"
    path.write_text(
        "row_key,rule,decision,who,why,date\n"
        "HP-5,rated-below-every-source,accept,Ann,marked so,2026-11-20\n"
    )
    decided = apply_decisions(report_of(), path, today=date(2026, 11, 25))
    # the decision is dropped: what it had accepted is open again
    change = since(report_of(), _saved(tmp_path, decided.report))
    assert _rows(change.new) == [("rated-below-every-source", "6")]
    change = since(decided.report, _saved(tmp_path, decided.report))
    assert (change.new, change.gone) == ((), ()) and [f["where"] for f in change.still] == ["5"]


def test_the_reports_of_several_lists_are_none_of_this_one(tmp_path: Path) -> None:
    from tallyhook.reporting.several import several_json_pieces

    path = tmp_path / "several.json"
    path.write_text("".join(several_json_pieces([report_of(), report_of()], [], {})))
    with pytest.raises(StockListError, match="reports of several lists; give the report of this"):
        since(report_of(), path)
