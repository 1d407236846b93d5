"""The shop's own workbook, marked: filled cells with comments, and four questions answered.

The shop's sheets keep their values, order and row numbers. Formulas, macros and links to other
files are not carried over, only what the cells showed; no text becomes a formula.
"""

from __future__ import annotations

import re
import warnings
import zipfile
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import polars as pl

from tallyhook import __version__
from tallyhook.errors import TallyhookError
from tallyhook.extras import need
from tallyhook.files import is_formula_like, whole_file
from tallyhook.messages import say
from tallyhook.model.finding import SEVERITIES
from tallyhook.reading.lists import read_list
from tallyhook.reporting.finding_text import (
    TITLES,
    comment_lines,
    is_accepted,
    likely_cause,
    rows_of,
    source_of,
)
from tallyhook.reporting.list_text import checked_sheets, not_compared, unchecked
from tallyhook.reporting.pivot_tables import without_pivot_tables
from tallyhook.reporting.same_bytes import save_workbook
from tallyhook.reporting.titles import (
    OUTCOMES,
    cause_explanation,
    cause_title,
    outcome_title,
    rule_title,
    severity_title,
    to_do,
)
from tallyhook.reporting.workbook_cells import (
    LONGEST,
    fill_rows,
    font,
    free_title,
    legal_text,
    letter,
    link_to,
    new_sheet,
    set_cell,
)
from tallyhook.wording import CAUTION, row_ranges

if TYPE_CHECKING:
    from openpyxl.workbook import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

    from tallyhook.reporting.report import Report

__all__ = ["MOST_COMMENTS", "write_workbook"]

MOST_COMMENTS = 5_000
"""Cells that carry a comment, worst first; the summary says when there are more."""

_MOST_ROWS = 1_048_576
"""Rows of a sheet (ECMA-376)."""

_ACCEPTED = "accepted"
_FILL = {
    _ACCEPTED: "E6E6E6",
    "danger": "FFC7C9",
    "error": "FFD9B3",
    "warning": "DDD6FE",
    "note": "D6E4EA",
}
_PLAIN = re.compile(r"-?(0|[1-9]\d{0,14})(\.\d{1,15})?")

# the columns of the sheets of findings, and how wide they are
_FINDING_WIDTHS = {
    "severity": 10, "row": 10, "sheet": 14, "column": 16, "item": 28, "observed": 17,
    "expected": 20, "ratio": 8, "cause": 26, "to_do": 40, "source": 38, "note": 28, "rule": 26,
}  # fmt: skip
_ITEM_WIDTHS = {
    "outcome": 14, "row": 10, "sheet": 14, "column": 16, "part": 16, "item": 40, "kind": 12,
    "size_mm": 10, "grade": 8, "legs": 8, "wll_kg": 12, "rating_id": 40,
    "rating_known_by": 12,
}  # fmt: skip
_DECISION_WIDTHS = {"who": 18, "date": 12, "expires": 12, "why": 34, "document": 26}

Place = tuple[str | None, int, int]  # sheet of the list, row, column counted from 1


def write_workbook(report: Report, path: str | Path, source: Path | None) -> None:
    """Write the list as a workbook with its findings marked, the accepted ones as such.

    Parameters
    ----------
    report : Report
        The checked list.
    path : path
        An ``.xlsx`` file; it is written whole or not at all.
    source : path or None
        The list's file: an XLSX or XLSM keeps its own sheets and formats. Any other list, and
        a data frame (None), is laid out anew from its cells as they were read.

    Raises
    ------
    TallyhookError
        The path is no ``.xlsx`` file, it cannot be written, or the list has more rows than a
        workbook can hold.
    MissingExtra
        The library that writes it is not installed.
    """
    need("export")
    if Path(path).suffix.lower() != ".xlsx":
        raise TallyhookError(
            say("a workbook is written as .xlsx"),
            where=str(path),
            next_step=say("give it that ending"),
        )
    report = _with_cells(report, source)
    book, titles = _shop_sheets(report, source)
    rank = {severity: n for n, severity in enumerate(SEVERITIES)}
    findings = sorted(
        report.stock_findings.iter_rows(named=True), key=lambda f: rank[f["severity"]]
    )
    taken = list(report.accepted.iter_rows(named=True))
    places = _places([*findings, *taken], report)
    uncommented = _mark(book, titles, [*findings, *taken], places)
    _summary(book, report, uncommented)
    _findings(book, say("Findings"), findings, places, titles)
    _uncompared(book, report, titles)
    _items(book, report, titles)
    if taken:
        _findings(book, say("Accepted"), taken, _places(taken, report), titles)
    with whole_file(path) as draft:
        save_workbook(book, draft)


# --- the shop's sheets


def _with_cells(report: Report, source: Path | None) -> Report:
    """Give a report of a long list, which was read in parts, the cells that were not kept.

    Raises
    ------
    TallyhookError
        A sheet has more rows than a workbook can hold.
    """
    if all(layout.body.width > 1 for layout in report.layouts):
        whole = report
    else:  # one plain table
        (layout,) = report.layouts
        frame = read_list(source or report.file)[0].frame
        body = frame.join(layout.body.cast({"row": frame.schema["row"]}), on="row", how="semi")
        sheet = replace(layout.sheet, frame=frame)
        whole = replace(report, layouts=(replace(layout, sheet=sheet, body=body),))
    last = max(int(layout.body["row"].max() or 0) for layout in whole.layouts)  # type: ignore[arg-type]
    if last > _MOST_ROWS:
        raise TallyhookError(
            say(
                "its row {row} is beyond the last row of a workbook, {most}",
                row=last,
                most=_MOST_ROWS,
            ),
            where=report.file,
            next_step=say("leave --xlsx out, or cut the list in two"),
        )
    return whole


def _shop_sheets(report: Report, source: Path | None) -> tuple[Workbook, dict[str | None, str]]:
    """The workbook with the shop's sheets, and the title of each sheet of the list in it."""
    names = list(dict.fromkeys(layout.sheet.name for layout in report.layouts))
    if source is not None and _is_workbook(source):
        book = _opened(source)
        if book is not None and all(name in book.sheetnames for name in names):
            return book, {name: str(name) for name in names}
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    titles: dict[str | None, str] = {}
    for layout in report.layouts:
        name = layout.sheet.name
        if name not in titles:
            titles[name] = free_title(book, name or Path(report.file).stem or say("List"))
            _lay_out(book.create_sheet(titles[name]), layout.sheet.frame)
    return book, titles


def _is_workbook(source: Path) -> bool:
    if not zipfile.is_zipfile(source):
        return False
    with zipfile.ZipFile(source) as archive:
        return "xl/workbook.xml" in archive.namelist()


def _opened(source: Path) -> Workbook | None:
    """The shop's workbook as its cells showed; None when openpyxl cannot read it."""
    from openpyxl import load_workbook
    from openpyxl.formatting.formatting import ConditionalFormattingList

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of extensions that are not carried over
            plain = without_pivot_tables(source)
            book = load_workbook(plain, data_only=True, keep_links=False, keep_vba=False)
    except Exception:  # it raises what it likes on workbooks that others read; lay it out anew
        return None
    for name in [n for n, d in book.defined_names.items() if "[" in str(d.attr_text)]:
        del book.defined_names[name]
    for sheet in book.worksheets:
        # rules and pick lists hold formulas, which may reach into other files
        sheet.conditional_formatting = ConditionalFormattingList()
        sheet.data_validations.dataValidation = []
        for table in sheet.tables.values():
            for column in table.tableColumns:
                column.calculatedColumnFormula = None
        for row in sheet.iter_rows():
            for cell in row:
                if isinstance(cell.value, str) and is_formula_like(cell.value):
                    set_cell(cell, cell.value)
    return book


def _lay_out(sheet: Worksheet, frame: pl.DataFrame) -> None:
    for row, *cells in frame.iter_rows():
        for number, text in enumerate(cells, start=1):
            if text:
                set_cell(sheet.cell(row=row, column=number), _typed(text))
    for number, name in enumerate(frame.columns[1:], start=1):
        longest = int(frame[name].str.len_chars().max() or 0)  # type: ignore[arg-type]
        sheet.column_dimensions[letter(number)].width = min(max(longest + 2, 8), 60)


def _typed(text: str) -> str | int | float:
    """A number where that changes nothing of what is shown: ``007`` and ``7.50`` stay text."""
    if not _PLAIN.fullmatch(text):
        return text
    number = float(text) if "." in text else int(text)
    return number if str(number) == text else text


# --- marks


def _places(findings: Iterable[dict[str, Any]], report: Report) -> dict[int, list[Place]]:
    """The cells that each finding is about, by the finding's number."""
    layouts = [(each, frozenset(each.body["row"])) for each in report.layouts]

    def place(finding: dict[str, Any], row: int) -> Place:
        sheet = finding["sheet"]
        same = [(each, rows) for each, rows in layouts if each.sheet.name == sheet] or layouts
        layout = next((each for each, rows in same if row in rows), same[0][0])
        wanted = finding["column"]
        columns = (
            [c.column for c in layout.columns if c.heading == wanted]
            or [c.column for c in layout.columns if wanted in (c.role, c.column)]
            or [c.column for c in layout.columns if c.role == "description"]
        )
        column = _likeliest(columns, layout.body, row, finding["observed"] or "") or "c0"
        return (sheet, row, int(column[1:]) + 1)

    return {n: [place(f, row) for row in rows_of(f)] for n, f in enumerate(findings)}


def _likeliest(columns: list[str], body: pl.DataFrame, row: int, observed: str) -> str | None:
    """Of columns with the same heading, the one whose cell holds the number observed."""
    if len(columns) < 2:
        return columns[0] if columns else None
    cells = body.filter(pl.col("row") == row).select(columns)
    digits = re.sub(r"\D", "", observed)
    for column in columns:
        if cells.height and digits and re.sub(r"\D", "", cells[column][0] or "") == digits:
            return column
    return columns[0]


def _mark(
    book: Workbook,
    titles: Mapping[str | None, str],
    findings: list[dict[str, Any]],
    places: Mapping[int, list[Place]],
) -> int:
    """Fill and comment the cells; give the number of cells left without a comment."""
    from openpyxl.comments import Comment
    from openpyxl.styles import PatternFill

    by_cell: dict[Place, list[int]] = {}
    for number in range(len(findings)):
        for place in places[number]:
            by_cell.setdefault(place, []).append(number)
    # the findings stand worst first, so the lowest number tells the worst of a cell
    worst_first = sorted(by_cell.items(), key=lambda cell: min(cell[1]))
    words: dict[int, str] = {}  # one finding may stand on a hundred thousand cells
    fills = {s: PatternFill("solid", start_color=c, end_color=c) for s, c in _FILL.items()}
    for count, ((sheet, row, column), numbers) in enumerate(worst_first):
        cell = _anchor(book[titles[sheet]], row, column)
        worst = findings[numbers[0]]  # the accepted ones stand last
        cell.fill = fills[_ACCEPTED if is_accepted(worst) else worst["severity"]]
        if count >= MOST_COMMENTS:
            continue
        own = [cell.comment.text] if cell.comment else []
        for number in numbers:
            if number not in words:
                words[number] = "\n".join(comment_lines(findings[number]))[:LONGEST]
        text = "\n\n".join([*own, *(words[number] for number in numbers)])
        text = legal_text(text)
        lines = sum(1 + len(line) // 52 for line in text.split("\n"))
        cell.comment = Comment(text, "tallyhook", width=380, height=min(20 * lines + 16, 700))
    return max(len(worst_first) - MOST_COMMENTS, 0)


def _anchor(sheet: Worksheet, row: int, column: int) -> Any:
    """The cell, or the one that stands for it where cells are merged."""
    cell = sheet.cell(row=row, column=column)
    if type(cell).__name__ != "MergedCell":
        return cell
    merged = next(r for r in sheet.merged_cells.ranges if cell.coordinate in r)
    return sheet.cell(row=merged.min_row, column=merged.min_col)


# --- sheets of ours


def _findings(
    book: Workbook,
    title: str,
    findings: list[dict[str, Any]],
    places: Mapping[int, list[Place]],
    titles: Mapping[str | None, str],
) -> None:
    from openpyxl.styles import PatternFill

    decided = bool(findings) and all(f["decision"] for f in findings)
    head = _head(_FINDING_WIDTHS | (_DECISION_WIDTHS if decided else {}))
    sheet = new_sheet(book, title, head)
    fill_rows(sheet, ([*_cells(f, titles), *(_decision(f) if decided else [])] for f in findings))
    for number, finding in enumerate(findings):
        fill = _FILL[finding["severity"]]
        sheet.cell(row=number + 2, column=1).fill = PatternFill(
            "solid", start_color=fill, end_color=fill
        )
        if places[number]:
            name, row, column = places[number][0]
            link_to(sheet.cell(row=number + 2, column=2), titles[name], row, column)
    if findings:
        sheet.auto_filter.ref = f"A1:{letter(len(head))}{len(findings) + 1}"


def _head(widths: Mapping[str, int]) -> list[tuple[str, int]]:
    return [(say(TITLES[field]), width) for field, width in widths.items()]


def _cells(finding: dict[str, Any], titles: Mapping[str | None, str]) -> list[Any]:
    return [
        severity_title(finding["severity"]),
        finding["row"] if finding["row"] is not None else row_ranges(rows_of(finding)),
        titles.get(finding["sheet"], finding["sheet"]),
        finding["column"],
        finding["item"],
        finding["observed"],
        finding["expected"],
        float(f"{finding['ratio']:.4g}") if finding["ratio"] else None,
        likely_cause(finding),
        cause_explanation(finding["cause"]) or to_do(finding["severity"]),
        source_of(finding),
        finding["note"],
        finding["rule"],
    ]


def _decision(finding: dict[str, Any]) -> list[Any]:
    return [finding["decision"][name] for name in _DECISION_WIDTHS]


def _uncompared(book: Workbook, report: Report, titles: Mapping[str | None, str]) -> None:
    left = not_compared(report)
    first = _head({"row": 10, "sheet": 16, "item": 44})
    head = [*first, (say("Why it was not compared"), 50), (say(TITLES["unread"]), 50)]
    sheet = new_sheet(book, say("Not compared"), head)
    fill_rows(
        sheet,
        (
            [row, titles.get(name, name), item, why, unread]
            for name, row, item, why, unread in left.iter_rows()
        ),
    )
    for number, (name, row) in enumerate(left.select("sheet", "row").iter_rows(), start=2):
        link_to(sheet.cell(row=number, column=1), titles[name], row, 1)
    if left.height:
        sheet.auto_filter.ref = f"A1:E{left.height + 1}"


def _items(book: Workbook, report: Report, titles: Mapping[str | None, str]) -> None:
    """Every item with its outcome, in the order of the list."""
    # the list's own words and kinds: an item of no kind of ours has none
    own = report.matched.select("item", pl.col("kind").replace("other", None))
    shown = report.lists()["items"].with_columns(*own).select(*_ITEM_WIDTHS)
    sheet = new_sheet(book, say("Items"), _head(_ITEM_WIDTHS))
    outcomes = {o.replace(" ", "_"): outcome_title(o) for o in OUTCOMES}
    for row, item in enumerate(shown.iter_rows(named=True), start=2):
        told = item | {
            "outcome": outcomes[item["outcome"]],
            "sheet": titles.get(item["sheet"], item["sheet"]),
        }
        for column, value in enumerate(told.values(), start=1):
            if value is not None:
                set_cell(sheet.cell(row=row, column=column), value)
    if shown.height:
        sheet.auto_filter.ref = f"A1:{letter(len(_ITEM_WIDTHS))}{shown.height + 1}"


def _summary(book: Workbook, report: Report, uncommented: int) -> None:
    sheet = new_sheet(book, say("Summary"), [(say("Stock list check"), 52), ("", 52), ("", 46)])
    rows: list[list[Any]] = [*_summary_of_list(report), [], *_summary_of_findings(report)]
    if uncommented:
        filled = say("filled like the others; see the findings")
        rows.append([say("Cells without comment"), uncommented, filled])
    if left := unchecked(report.layouts):
        rows.append([say("NOT CHECKED"), left])
    rows += [[say("INCOMPLETE"), reason] for reason in report.incomplete]
    rows.append([])
    for each in checked_sheets(report):
        rows += _summary_of_sheet(each, report.file)
    fill_rows(sheet, rows)
    for cell in sheet["A"]:
        cell.font = font(bold=True)


def _summary_of_list(report: Report) -> list[list[Any]]:
    counts = report.counts
    return [
        [say("List"), report.file],
        [say("Held against"), ", ".join(f"{n} {v}" for n, v in report.packages.items())],
        [say("Checked by"), f"tallyhook {__version__}"],
        [say("Caution"), say(CAUTION)],
        [],
        [say("Items"), counts["rows"]],
        [outcome_title("agree"), counts["agree"]],
        [outcome_title("contradicted"), counts["contradicted"]],
        [outcome_title("not compared"), counts["not_compared"]],
        *([[say("Accepted findings"), counts["accepted"]]] if counts["accepted"] else []),
    ]


def _summary_of_findings(report: Report) -> list[list[Any]]:
    counts = report.counts
    by_severity = [
        [
            say("Findings: {severity}", severity=severity_title(severity)),
            counts["severity"].get(severity, 0),
            to_do(severity),
        ]
        for severity in SEVERITIES
    ]
    by_rule = [
        [say("Rule: {title}", title=rule_title(rule)), n, rule]
        for rule, n in counts["rule"].items()
    ]
    by_cause = [
        [say("Cause: {title}", title=cause_title(cause)), n, cause]
        for cause, n in counts["cause"].items()
    ]
    return [*by_severity, [], *by_rule, *by_cause]


def _summary_of_sheet(sheet: dict[str, Any], file: str) -> list[list[Any]]:
    taken = say("{sheet}: taken for", sheet=sheet["name"] or file)
    rows = [[say("Column of the list"), taken, say("why")]]
    for column in sheet["columns"]:
        unit = f" [{column['unit']}]" if column["unit"] else ""
        rows.append([column["heading"], f"{column['role']}{unit}", column["why"]])
    for skipped in sheet["skipped"]:
        over = say("Passed over: {why}", why=skipped["why"])
        rows.append([over, say("rows {rows}", rows=skipped["rows"])])
    return rows
