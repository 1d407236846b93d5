"""Reports for programs: NDJSON, CSV and Parquet beside the JSON of `Report.to_json`.

They hold the same records: each finding, item and item not compared, each sheet that was not
checked and each reason why the answer is not whole, called so in ``record``, and with the ``file``
of its list. Several lists follow one another; one that could not be checked is a
``list_not_checked``.
"""

from __future__ import annotations

import io
import json
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import polars as pl

from tallyhook.files import FORMULA_LIKE
from tallyhook.model.finding import DECISION, REPORTED_FINDING, STOCK_FINDING_SCHEMA
from tallyhook.model.items import ITEM_SCHEMA, REPORTED_ITEM, REPORTED_UNCOMPARED
from tallyhook.reporting.report import PIECE, json_records

if TYPE_CHECKING:
    from tallyhook.reporting.report import Report

__all__ = [
    "CSV_COLUMNS",
    "RECORD_COLUMNS",
    "ndjson_pieces",
    "to_csv",
    "to_ndjson",
    "to_parquet",
]

NotChecked = tuple[str, str]
"""A list that could not be checked, and why."""

RECORD_COLUMNS = tuple(
    dict.fromkeys(("record", *REPORTED_FINDING, *REPORTED_ITEM, *REPORTED_UNCOMPARED, "state"))
)
"""The columns of the Parquet file: the fields of all kinds of records."""

_OF_DECISION = tuple(f"decision.{part.name}" for part in DECISION.fields)

CSV_COLUMNS = tuple(
    name
    for column in RECORD_COLUMNS
    for name in (_OF_DECISION if column == "decision" else (column,))
)
"""The columns of the CSV file: those of the Parquet file, a decision in one for each part of it."""

_RECORDS = {"findings": "finding", "items": "item", "not_compared": "not_compared"}
"""The lists of a report, and what one record of each is called."""

_OF_SHEETS = {"sheet": pl.String, "row": pl.Int64, "why": pl.String, "state": pl.String}


def to_ndjson(*reports: Report, not_checked: Sequence[NotChecked] = ()) -> str:
    """Write reports as one JSON record a line.

    The first record of a list has ``"record": "report"`` and everything but the lists; each
    finding, item and item not compared follows with ``"record"`` ``finding``, ``item`` or
    ``not_compared`` and its fields as in the JSON report, the ``file`` of the list among them; then
    ``sheet_not_checked`` and ``incomplete``, where there are any.
    """
    return "".join(ndjson_pieces(*reports, not_checked=not_checked))


def ndjson_pieces(*reports: Report, not_checked: Sequence[NotChecked] = ()) -> Iterator[str]:
    """Write the text of `to_ndjson` piece by piece."""
    for report in reports:
        head = {"record": "report"} | report.head()
        yield json.dumps(head, ensure_ascii=False, allow_nan=False) + "\n"
        for records in _records(report).values():
            for piece in records.iter_slices(PIECE):
                yield "\n".join(json_records(piece)) + "\n"
    for file, why in not_checked:
        left = {"record": "list_not_checked", "file": file, "why": why}
        yield json.dumps(left, ensure_ascii=False) + "\n"


def _records(report: Report) -> dict[str, pl.DataFrame]:
    """The lists of a report, each record with what it is and its file."""
    found = {}
    for name, frame in report.lists().items():
        of_list = frame if "file" in frame.columns else _of_file(frame, report.file)
        found[name] = of_list.select(pl.lit(_RECORDS[name]).alias("record"), pl.all())
    head = report.head()
    of_sheets = pl.DataFrame(head["sheets_not_checked"], schema=_OF_SHEETS)
    of_reasons = pl.DataFrame({"why": head["incomplete"]}, schema={"why": pl.String})
    for name, frame in (("sheet_not_checked", of_sheets), ("incomplete", of_reasons)):
        if frame.height:
            named = pl.lit(name).alias("record")
            found[name] = _of_file(frame, report.file).select(named, pl.all())
    return found


def _of_file(frame: pl.DataFrame, file: str) -> pl.DataFrame:
    return frame.select(pl.lit(file).alias("file"), pl.all())


def _table(reports: Sequence[Report], not_checked: Sequence[NotChecked]) -> pl.DataFrame:
    """All records in one table, `RECORD_COLUMNS`."""
    types = STOCK_FINDING_SCHEMA | ITEM_SCHEMA | dict.fromkeys(RECORD_COLUMNS[:1], pl.String)
    empty = {c: types.get(c, pl.String) for c in RECORD_COLUMNS if c != "index"}
    left = pl.DataFrame(
        [{"record": "list_not_checked", "file": file, "why": why} for file, why in not_checked],
        schema=dict.fromkeys(("record", "file", "why"), pl.String),
    )
    parts = [frame for report in reports for frame in _records(report).values()]
    # relaxed: the indexes of several frames may be numbers and text
    whole = pl.concat([pl.DataFrame(schema=empty), *parts, left], how="diagonal_relaxed")
    return whole.select(c if c in whole.columns else pl.lit(None).alias(c) for c in RECORD_COLUMNS)


def to_csv(*reports: Report, not_checked: Sequence[NotChecked] = ()) -> str:
    """Write the records of reports as CSV: LF, `CSV_COLUMNS`.

    A field that a record does not have is empty; several rows or causes are separated by ``;``. A
    text that a spreadsheet would take for a formula gets an apostrophe in front.
    """
    table = _table(reports, not_checked)
    parts = table["decision"].struct.unnest().rename(lambda name: f"decision.{name}")
    flat = pl.concat([table.drop("decision"), parts], how="horizontal").select(CSV_COLUMNS)
    return flat.select(_cell(name, dtype) for name, dtype in flat.schema.items()).write_csv()


def _cell(name: str, dtype: pl.DataType) -> pl.Expr:
    """Write a column for a CSV that a spreadsheet may open."""
    if dtype.is_numeric():
        return pl.col(name).cast(pl.String).str.strip_suffix(".0")
    if isinstance(dtype, pl.List):
        joined = pl.col(name).cast(pl.List(pl.String)).list.join(";")
        return joined.replace("", None)
    text = pl.col(name).cast(pl.String)
    return pl.when(text.str.contains(FORMULA_LIKE)).then("'" + text).otherwise(text).alias(name)


def to_parquet(*reports: Report, not_checked: Sequence[NotChecked] = ()) -> bytes:
    """Write the records of reports as Parquet, typed: `RECORD_COLUMNS`.

    Rows and other causes are lists, a decision is a structure.
    """
    out = io.BytesIO()
    _table(reports, not_checked).write_parquet(out)
    return out.getvalue()
