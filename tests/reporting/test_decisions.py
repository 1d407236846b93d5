"""Accepted findings leave the report; decisions that do not hold are reported."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pandas as pd
import polars as pl
import pytest
from stock_reports import ROWS, report_of

from tallyhook import check
from tallyhook.errors import StockListError
from tallyhook.reporting.decision_file import DECISION_COLUMNS, names_a_document
from tallyhook.reporting.decisions import apply_decisions

TODAY = date(2026, 11, 25)
ABOVE, BELOW = "rated-above-every-source", "rated-below-every-source"
ACCEPT: dict[str, str] = {
    "row_key": "HP-5", "rule": BELOW, "decision": "accept", "who": "Ann Pike", "why": "old stock, marked so",
    "date": "2026-11-20", "expires": "", "document": "", "observed": "", "item": "",
}  # fmt: skip


def _file(tmp_path: Path, *decisions: dict[str, str]) -> Path:
    frame = pl.DataFrame([ACCEPT | d for d in decisions]).select(DECISION_COLUMNS)
    path = tmp_path / "decisions.csv"
    frame.write_csv(path)
    return path


def _decided(
    tmp_path: Path, *decisions: dict[str, str], rows: list[dict[str, Any]] = ROWS
) -> tuple[Any, Any]:
    done = apply_decisions(report_of(rows), _file(tmp_path, *decisions), today=TODAY)
    left = [(f["rule"], f["row"]) for f in done.report.stock_findings.to_dicts()]
    taken = [
        (f["rule"], f["row"], f["decision"]["who"], f["decision"]["why"])
        for f in done.accepted.to_dicts()
    ]
    return left, taken


def test_an_accepted_finding_moves_with_its_reason(tmp_path: Path) -> None:
    left, taken = _decided(tmp_path, {})
    assert left == [(ABOVE, 5)]
    assert taken == [(BELOW, 6, "Ann Pike", "old stock, marked so")]


OF_ROW_6 = {"observed": "4,170 lb", "item": "HP-5 chain, 1/2 in, grade 43"}


@pytest.mark.parametrize("key", ["HP-5", "hp-5 ", "row 6", "Row 6"])
def test_a_row_is_named_by_part_or_number(tmp_path: Path, key: str) -> None:
    assert _decided(tmp_path, {"row_key": key} | OF_ROW_6)[1] != []


def test_a_part_number_that_was_read_as_words_names_its_row(tmp_path: Path) -> None:
    # 49 CFR 393.108: 3/8 in grade 70 is 6,600 lb, 5/16 in 4,700 lb
    frame = pd.DataFrame(
        {
            "Item": ["A1", "A2", "A3", "A3"],
            "Description": ["Transport chain G70"] * 4,
            "Size": ["5/16", "3/8", "3/8", "3/8"],
            "WLL (lb)": ["4700", "6000", "6000", "5900"],
        }
    )
    report = check(frame)
    assert [f["row"] for f in report.stock_findings.to_dicts()] == [3, 4, 5]

    def left(*keys: str) -> list[tuple[str, int | None]]:
        told = _file(tmp_path, *({"row_key": key} for key in keys))
        done = apply_decisions(report, told, today=TODAY).report.stock_findings
        return list(zip(done["rule"], done["row"], strict=True))

    assert left("A2") == [(BELOW, 4), (BELOW, 5)]
    # two rows begin with A3: neither is meant, and the decision says how to name one
    twice = apply_decisions(report, _file(tmp_path, {"row_key": "A3"}), today=TODAY).report
    (idle,) = twice.stock_findings.filter(pl.col("rule") == "decision-matches-nothing").to_dicts()
    assert twice.stock_findings.height == 4 and "row 3" in idle["expected"]


def test_the_counts_of_rows_stay_and_those_of_findings_follow(tmp_path: Path) -> None:
    before = report_of().counts
    after = apply_decisions(report_of(), _file(tmp_path, {}), today=TODAY).report.counts
    assert {k: after[k] for k in ("rows", "agree", "contradicted", "not_compared")} == {
        k: before[k] for k in ("rows", "agree", "contradicted", "not_compared")
    }
    assert after["severity"] == {"danger": 1}


def test_a_danger_needs_a_document(tmp_path: Path) -> None:
    danger = {"row_key": "HP-4", "rule": ABOVE, "observed": "26,400 lb"}
    left, taken = _decided(tmp_path, danger)
    assert left == [(ABOVE, 5), (BELOW, 6), ("danger-is-accepted-without-a-document", None)]
    assert taken == []
    left, taken = _decided(tmp_path, danger | {"document": "maker's certificate 88231"})
    assert left == [(BELOW, 6)] and [t[:2] for t in taken] == [(ABOVE, 5)]


def test_a_decision_that_fits_nothing_is_reported(tmp_path: Path) -> None:
    for stale in (
        {"row_key": "HP-1"},
        {"row_key": "row 60"},
        {"rule": ABOVE},
        {"observed": "4,171 lb"},
    ):
        left, taken = _decided(tmp_path, stale)
        assert left == [(ABOVE, 5), (BELOW, 6), ("decision-matches-nothing", None)], stale
        assert taken == []


def test_a_decision_may_hold_for_one_number_only(tmp_path: Path) -> None:
    pinned = {"observed": "4,170 lb"}
    assert [t[1] for t in _decided(tmp_path, pinned)[1]] == [6]
    changed = [r | {"lb": 4100} if r["part"] == "HP-5" else r for r in ROWS]
    left, taken = _decided(tmp_path, pinned, rows=changed)
    assert taken == [] and ("decision-matches-nothing", None) in left


def test_a_decision_holds_to_the_end_of_its_last_day(tmp_path: Path) -> None:
    assert _decided(tmp_path, {"expires": "2026-11-25"})[1] != []
    left, taken = _decided(tmp_path, {"expires": "2026-11-24"})
    assert left == [(ABOVE, 5), (BELOW, 6), ("decision-is-past-its-date", None)] and taken == []


@pytest.mark.parametrize(
    "broken",
    [{"who": ""}, {"why": ""}, {"date": ""}, {"date": "20.11.2026"}, {"expires": "soon"}, {"decision": "ok"},
     {"rule": "no-such-rule"}, {"row_key": ""}],
)  # fmt: skip
def test_a_decision_that_cannot_be_read_accepts_nothing(
    tmp_path: Path, broken: dict[str, str]
) -> None:
    left, taken = _decided(tmp_path, broken)
    assert left == [(ABOVE, 5), (BELOW, 6), ("decision-cannot-be-read", None)] and taken == []


def test_to_be_corrected_leaves_the_finding(tmp_path: Path) -> None:
    assert _decided(tmp_path, {"decision": "correct"}) == ([(ABOVE, 5), (BELOW, 6)], [])


def test_a_row_is_taken_out_of_a_shared_finding(tmp_path: Path) -> None:
    rows = [
        r | {"lb": round(r["lb"] * 0.4536), "part": f"K{n}"} for n, r in enumerate(ROWS[:3] * 4)
    ]
    shared = report_of(rows).stock_findings
    assert [list(r) for r in shared["rows"]] == [list(range(2, 14))]
    done = apply_decisions(report_of(rows), _file(tmp_path, {"row_key": "K3"}), today=TODAY)
    assert [list(r) for r in done.accepted["rows"]] == [[5]]
    assert [list(r) for r in done.report.stock_findings["rows"]] == [[2, 3, 4, *range(6, 14)]]
    whole = apply_decisions(
        report_of(rows), _file(tmp_path, {"row_key": "column WLL (lb)"}), today=TODAY
    )
    assert whole.report.stock_findings.height == 0 and whole.accepted.height == 1


def test_files_that_are_no_decisions_are_refused(tmp_path: Path) -> None:
    with pytest.raises(StockListError, match="cannot be read"):
        apply_decisions(report_of(), tmp_path / "none.csv", today=TODAY)
    (tmp_path / "a.csv").write_text("part,why\n1,2\n")
    with pytest.raises(StockListError, match="no column 'row_key'"):
        apply_decisions(report_of(), tmp_path / "a.csv", today=TODAY)
    (tmp_path / "b.csv").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(StockListError, match="UTF-8"):
        apply_decisions(report_of(), tmp_path / "b.csv", today=TODAY)


def test_a_spreadsheet_may_have_saved_it(tmp_path: Path) -> None:
    path = tmp_path / "decisions.csv"
    path.write_bytes(
        "\ufeffRow key;Rule;Decision;Who;Why;Date\r\n"
        "HP-5;rated-below-every-source;Accept;Ann;marked so;2026-11-20\r\n;;;;;\r\n".encode()
    )
    done = apply_decisions(report_of(), path, today=TODAY)
    assert done.accepted["row"].to_list() == [6] and done.report.stock_findings[
        "row"
    ].to_list() == [5]


def _of_two_sheets(path: Path, key: str) -> tuple[pl.DataFrame, pl.DataFrame]:
    book = path / "list.xlsx"
    with pd.ExcelWriter(book) as writer:
        for sheet in ("Chain", "More"):
            cells = {
                "Description": ["Lifting chain"] * 2,
                "Size": ["10 mm"] * 2,
                "Grade": ["80"] * 2,
            }
            pd.DataFrame(cells | {"WLL (kg)": ["2500", "3150"]}).to_excel(
                writer, sheet_name=sheet, index=False
            )
    file = path / "decisions.csv"
    file.write_text(
        "row_key,rule,decision,who,why,date,observed,item\n"
        f"{key},rated-below-every-source,accept,Ann,marked so,2026-11-20,"
        '"2500 kg","Lifting chain, 10 mm, grade 80"\n'
    )
    done = apply_decisions(check(book), file, today=TODAY)
    return done.accepted, done.report.stock_findings


def test_a_decision_of_one_sheet_accepts_nothing_on_another(tmp_path: Path) -> None:
    accepted, left = _of_two_sheets(tmp_path, "Chain!row 2")
    assert accepted["sheet"].to_list() == ["Chain"]
    assert left.filter(pl.col("rule") == "rated-below-every-source")["sheet"].to_list() == ["More"]


def test_a_bare_row_of_several_sheets_is_told_how_to_name_it(tmp_path: Path) -> None:
    accepted, left = _of_two_sheets(tmp_path, "row 2")
    assert accepted.is_empty()
    idle = left.filter(pl.col("rule") == "decision-matches-nothing")["expected"].to_list()
    assert idle == ["'Chain!row 2' or 'More!row 2', or no decision"]


def test_what_was_decided_stands_on_the_finding(tmp_path: Path) -> None:
    certificate = {
        "document": "certificate 7",
        "expires": "20261231",
        "observed": "26,400 lb",
    }  # a day as ISO 8601 has it, too
    decisions = [{"decision": "Correct"}, {"row_key": "HP-4", "rule": ABOVE} | certificate]
    done = apply_decisions(report_of(), _file(tmp_path, *decisions), today=TODAY)
    mark = {"who": "Ann Pike", "why": "old stock, marked so", "date": "2026-11-20"}
    assert done.report.stock_findings.select("row", "decision").rows() == [
        (6, mark | {"decision": "correct", "expires": None, "document": None})
    ]
    assert done.accepted.select("row", "decision").rows() == [
        (5, mark | {"decision": "accept", "expires": "2026-12-31", "document": "certificate 7"})
    ]


CONTRADICT = "decisions-contradict-each-other"
UNSAID = "decision-does-not-say-what-it-accepts"
IDLE = "decision-matches-nothing"
WITHOUT = "danger-is-accepted-without-a-document"
DANGER = {"row_key": "HP-4", "rule": ABOVE, "observed": "26,400 lb", "document": "certificate 7"}


@pytest.mark.parametrize("order", [("accept", "correct"), ("correct", "accept")])
def test_to_accept_and_to_correct_one_finding_holds_for_neither(
    tmp_path: Path, order: tuple[str, str]
) -> None:
    left, taken = _decided(tmp_path, *({"decision": word} for word in order))
    assert left == [(ABOVE, 5), (BELOW, 6), (CONTRADICT, None), (CONTRADICT, None)]
    assert taken == []


@pytest.mark.parametrize("terms", [{"document": "certificate 8"}, {"expires": "2027-01-01"}])
def test_two_accepts_on_different_terms_contradict_each_other(
    tmp_path: Path, terms: dict[str, str]
) -> None:
    left, taken = _decided(tmp_path, DANGER, DANGER | terms)
    assert taken == [] and left[-2:] == [(CONTRADICT, None)] * 2
    # the same said twice is no contradiction
    assert len(_decided(tmp_path, DANGER, DANGER | {"who": "Bob"})[1]) == 1


def test_two_accepts_of_different_numbers_are_told_and_the_exact_one_holds(tmp_path: Path) -> None:
    left, taken = _decided(tmp_path, DANGER, DANGER | {"observed": "264,000 lb"})
    assert [t[:2] for t in taken] == [(ABOVE, 5)]
    assert left == [(BELOW, 6), (CONTRADICT, None), (CONTRADICT, None)]


def test_decisions_of_two_rows_of_one_part_do_not_contradict(tmp_path: Path) -> None:
    rows = [*ROWS, ROWS[3] | {"lb": 30_000}]
    left, taken = _decided(tmp_path, DANGER, DANGER | {"observed": "30,000 lb"}, rows=rows)
    assert sorted(t[1] for t in taken) == [5, 9]
    assert CONTRADICT not in [name for name, _ in left]


# --- a decision holds for what was decided (silent.md 4)


def test_a_danger_is_accepted_for_its_observed_value_alone(tmp_path: Path) -> None:
    older = DANGER | {"observed": ""}
    left, taken = _decided(tmp_path, older)
    assert left == [(ABOVE, 5), (BELOW, 6), (UNSAID, None)] and taken == []
    mistyped = [r | {"lb": 264_000} if r["part"] == "HP-4" else r for r in ROWS]
    left, taken = _decided(tmp_path, DANGER, rows=mistyped)
    assert left == [(ABOVE, 5), (BELOW, 6), (IDLE, None)] and taken == []


def test_a_column_key_takes_no_finding_of_one_row(tmp_path: Path) -> None:
    column = DANGER | {"row_key": "column WLL (lb)"}
    for observed in ("", "26,400 lb"):
        left, taken = _decided(tmp_path, column | {"observed": observed})
        assert left == [(ABOVE, 5), (BELOW, 6), (IDLE, None)] and taken == []


# kilograms under pounds are 0.45 times the rating; pounds under kilograms 2.2 times
TOO_MUCH = [
    r | {"lb": round(r["lb"] * 2.2046), "part": f"K{n}"} for n, r in enumerate(ROWS[:3] * 4)
]


def test_a_danger_of_several_rows_is_accepted_part_by_part(tmp_path: Path) -> None:
    (shared,) = report_of(TOO_MUCH).stock_findings.to_dicts()
    assert (shared["rule"], shared["rows"]) == (ABOVE, list(range(2, 14)))
    paper = {"rule": ABOVE, "document": "certificate 7"}
    whole = paper | {"row_key": "column WLL (lb)", "observed": shared["observed"]}
    left, taken = _decided(tmp_path, whole, rows=TOO_MUCH)
    assert [name for name, _ in left] == [ABOVE, UNSAID] and taken == []
    # K4 is 3/8 grade 70: 6,600 lb, listed at 14,550 lb
    of_part = paper | {"row_key": "K4"}
    for wrong, told in (("", UNSAID), (shared["observed"], IDLE), ("14,551 lb", IDLE)):
        left, taken = _decided(tmp_path, of_part | {"observed": wrong}, rows=TOO_MUCH)
        assert [name for name, _ in left] == [ABOVE, told] and taken == [], wrong
    done = apply_decisions(
        report_of(TOO_MUCH), _file(tmp_path, of_part | {"observed": "14,550 lb"}), today=TODAY
    )
    assert [list(r) for r in done.accepted["rows"]] == [[6]]
    changed = [r | {"lb": 15_653} if r["part"] == "K4" else r for r in TOO_MUCH]
    left, taken = _decided(tmp_path, of_part | {"observed": "14,550 lb"}, rows=changed)
    assert taken == []


@pytest.mark.parametrize("without", [{"observed": ""}, {"item": ""}, {"observed": "", "item": ""}])
def test_a_row_is_accepted_with_what_stands_in_it(tmp_path: Path, without: dict[str, str]) -> None:
    left, taken = _decided(tmp_path, {"row_key": "row 6"} | OF_ROW_6 | without)
    assert left == [(ABOVE, 5), (BELOW, 6), (UNSAID, None)] and taken == []


def test_a_row_covers_nothing_else_after_sorting(tmp_path: Path) -> None:
    # another chain of the same number listed now stands in row 6, and HP-5 in row 5
    other = ROWS[4] | {"part": "HP-9"}
    turned = [*ROWS[:3], ROWS[4], other, *ROWS[5:]]
    left, taken = _decided(tmp_path, {"row_key": "row 6"} | OF_ROW_6, rows=turned)
    assert left == [(BELOW, 5), (BELOW, 6), (IDLE, None)] and taken == []


def test_an_item_that_is_named_holds_for_a_part_too(tmp_path: Path) -> None:
    assert _decided(tmp_path, {"item": "HP-5 chain,  1/2 in, grade 43"})[1] != []
    left, taken = _decided(tmp_path, {"item": "HP-5 chain, 3/8 in, grade 43"})
    assert taken == [] and left[-1] == (IDLE, None)


def test_one_number_of_several_items_of_a_part_is_accepted_with_its_item(tmp_path: Path) -> None:
    # the same part and load on a smaller chain, typed later: 26,400 lb on 1/4 in
    rows = [*ROWS, ROWS[3] | {"size_in": "1/4", "size_mm": 7.0}]
    left, taken = _decided(tmp_path, DANGER, rows=rows)
    assert taken == [] and [name for name, _ in left] == [ABOVE, ABOVE, BELOW, UNSAID]
    named = DANGER | {"item": "HP-4 chain, 3/8 in, grade 70"}
    assert [t[:2] for t in _decided(tmp_path, named, rows=rows)[1]] == [(ABOVE, 5)]
    # the same item twice is one thing
    assert len(_decided(tmp_path, DANGER, rows=[*ROWS, ROWS[3]])[1]) == 2


@pytest.mark.parametrize(
    "document",
    ["-", "--", "–", "no", "No.", "none", "NONE", "n/a", "tbd", "?", "x", "yes", "ja", "nein", "ohne",
     "no certificate", "not seen", "without", "kein Zertifikat", "sans certificat", "sin", ".", "ok"],
)  # fmt: skip
def test_what_is_no_document_accepts_no_danger(tmp_path: Path, document: str) -> None:
    assert not names_a_document(document)
    left, taken = _decided(tmp_path, DANGER | {"document": document})
    assert left == [(ABOVE, 5), (BELOW, 6), (WITHOUT, None)] and taken == []


@pytest.mark.parametrize(
    "document",
    ["certificate 88231", "No. 88231", "Nr. 7", "88231", "maker's sheet", "C7", "Zertifikat",
     "certificat n° 12", "no 4711"],
)  # fmt: skip
def test_what_names_a_document_accepts_a_danger(tmp_path: Path, document: str) -> None:
    assert [t[:2] for t in _decided(tmp_path, DANGER | {"document": document})[1]] == [(ABOVE, 5)]


def test_only_the_rows_of_a_column_that_were_decided_on_are_marked(tmp_path: Path) -> None:
    # pounds of the ratings, headed as if they were kilograms in pounds: one finding of 12 rows
    rows = [
        r | {"lb": round(r["lb"] * 0.4536), "part": f"P{n}"} for n, r in enumerate(ROWS[:3] * 4)
    ]
    (whole,) = report_of(rows).stock_findings.to_dicts()
    assert whole["rows"] == list(range(2, 14))
    decision = {"row_key": "row 5", "decision": "correct", "rule": whole["rule"]}
    done = apply_decisions(report_of(rows), _file(tmp_path, decision), today=TODAY)
    marks = [
        (f["rows"], f["decision"] and f["decision"]["decision"])
        for f in done.report.stock_findings.to_dicts()
    ]
    assert marks == [([2, 3, 4, *range(6, 14)], None), ([5], "correct")]


def test_a_decision_that_does_not_hold_marks_nothing(tmp_path: Path) -> None:
    told = _file(
        tmp_path,
        {"expires": "2026-11-24"},  # yesterday
        DANGER | {"document": ""},
    )
    found = apply_decisions(report_of(), told, today=TODAY).report.stock_findings
    assert found["decision"].to_list() == [None] * found.height and found.height == 4
