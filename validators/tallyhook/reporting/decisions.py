"""Decisions remembered: a finding that someone has accepted moves to a section of its own.

The file is a CSV with the columns ``row_key, rule, decision, who, why, date`` and, where needed,
``expires``, ``document`` and ``observed``. Days are written 2026-11-25.

- ``row_key``: the part number, or ``row 14``, or ``column WLL (lb)`` for a finding about a whole
  column. A list of several sheets may write ``Chain!row 14``. Where no column was read as part
  numbers, what a row's words begin with names it (``A2`` of ``A2, Chain 3/8``), if it has a digit
  and begins no other row.
- ``decision``: ``accept`` moves the finding to the accepted ones; ``correct`` records that the list
  will be corrected and leaves it among the open ones. Either is written on the finding.
- ``document``: the maker's sheet or certificate; without one no danger is accepted.
- ``observed``: what the finding observed, in the language of the report; the decision then holds
  for this number only.

What is wrong with a decision is itself a finding (``tallyhook.rules.decision``).
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import polars as pl

from tallyhook.errors import StockListError, TallyhookError
from tallyhook.messages import say
from tallyhook.model.finding import ACCEPT, CORRECT, DANGER, DECISION, STOCK_FINDING_SCHEMA
from tallyhook.reading.streams import on_disk
from tallyhook.reporting.finding_text import rows_of
from tallyhook.rules import all_rules, rule_named
from tallyhook.wording import or_list

if TYPE_CHECKING:
    from tallyhook.reporting.report import Report

__all__ = ["DECISION_COLUMNS", "Decided", "apply_decisions", "read_decisions"]

DECISION_COLUMNS = (
    "row_key", "rule", "decision", "who", "why", "date", "expires", "document", "observed",
)  # fmt: skip
_NEEDED = ("row_key", "rule", "decision", "who", "why", "date")
_WORDS = (ACCEPT, CORRECT)
_KEPT = [part.name for part in DECISION.fields]


@dataclass(frozen=True, slots=True, kw_only=True)
class Decided:
    """The report with the accepted findings apart, and every finding marked that was decided on."""

    report: Report

    @property
    def accepted(self) -> pl.DataFrame:
        """The accepted findings."""
        return self.report.accepted


def apply_decisions(report: Report, path: str | Path, *, today: date | None = None) -> Decided:
    """Move accepted findings out of a report and report what is wrong with the decisions.

    Parameters
    ----------
    report : Report
        The checked list.
    path : path
        The file of decisions.
    today : date, optional
        The day that decisions must hold on; the present day otherwise.

    Raises
    ------
    StockListError
        The file cannot be read, or has no column that it needs.
    """
    decisions = read_decisions(path, today=today or date.today())
    findings = list(report.stock_findings.iter_rows(named=True))
    parts = _parts(report, {d["row_key"].strip().casefold() for d in decisions})
    left: list[dict[str, Any]] = []
    accepted: list[dict[str, Any]] = []
    for finding in findings:
        remaining, taken = _decide(
            finding, decisions, parts, several=report.matched["sheet"].n_unique() > 1
        )
        accepted += taken
        left += remaining
    problems = _problems(decisions, str(path), _rows_of_sheets(report))
    kept = pl.DataFrame(left, schema=STOCK_FINDING_SCHEMA, orient="row")
    return Decided(
        report=replace(
            report,
            stock_findings=pl.concat([kept, problems]),
            accepted=pl.DataFrame(accepted, schema=STOCK_FINDING_SCHEMA, orient="row"),
        )
    )


def read_decisions(path: str | Path, *, today: date) -> list[dict[str, Any]]:
    """Read a file of decisions: its columns as text, with line, defect and expired.

    Raises
    ------
    StockListError
        The file cannot be read, or has no column that it needs.
    """
    try:
        with on_disk(path) as file:
            text = file.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        reason = getattr(error, "strerror", None) or say("it is not UTF-8 text")
        raise StockListError(
            say("the decisions cannot be read ({reason})", reason=reason),
            where=str(path),
            next_step=say("check the file"),
        ) from None
    first = text.partition("\n")[0]
    reader = csv.reader(
        io.StringIO(text), delimiter=";" if first.count(";") > first.count(",") else ","
    )
    try:
        head = [cell.strip().casefold().replace(" ", "_") for cell in next(reader, [])]
        missing = [name for name in _NEEDED if name not in head]
        if missing:
            raise StockListError(
                say("the decisions have no column '{column}'", column=missing[0]),
                where=str(path),
                next_step=say("the columns are {columns}", columns=", ".join(DECISION_COLUMNS)),
            )
        return [
            _decision(dict(zip(head, cells, strict=False)), reader.line_num, today)
            for cells in reader
            if any(cell.strip() for cell in cells)
        ]
    except csv.Error as error:
        raise StockListError(
            say("the decisions are no CSV ({reason})", reason=error),
            where=str(path),
            next_step=say("mend the file"),
        ) from None


def _decision(cells: dict[str, str], line: int, today: date) -> dict[str, Any]:
    record: dict[str, Any] = {n: cells.get(n, "").strip() or None for n in DECISION_COLUMNS}
    record |= {"line": line, "matched": 0, "undocumented": 0, "defect": None, "expired": False}
    record["row_key"] = record["row_key"] or ""
    if empty := [n for n in _NEEDED if not record[n]]:
        record["defect"] = say("{columns} not filled", columns=", ".join(empty))
    elif record["decision"].casefold() not in _WORDS:
        wrong = record["decision"]
        record["defect"] = say("'{decision}' is neither accept nor correct", decision=wrong)
    else:
        record["defect"] = _wrong_date(record) or _unknown_rule(record["rule"])
    if record["defect"] is None and record["expires"]:
        record["expired"] = date.fromisoformat(record["expires"]) < today
    return record


def _wrong_date(record: dict[str, Any]) -> str | None:
    for name in ("date", "expires"):
        try:
            if record[name]:
                date.fromisoformat(record[name])
        except ValueError:
            return say(
                "{column} '{day}' is no day such as 2026-11-25", column=name, day=record[name]
            )
    return None


def _unknown_rule(name: str) -> str | None:
    try:
        rule_named(name)
    except TallyhookError:
        return say("there is no rule '{rule}'", rule=name)
    return None


def _parts(report: Report, keys: set[str]) -> dict[tuple[str | None, int], frozenset[str]]:
    """The part numbers in each row of the list, or what its words begin with."""
    rows = report.matched.select("sheet", "row", "part", "item")
    # a column of part numbers that is headed "Item" is read as words
    first = pl.col("item").str.split(", ").list.first().str.strip_chars().str.to_lowercase()
    led = (
        rows.filter(pl.col("part").is_null())
        .with_columns(first.alias("part"))
        .filter(pl.col("part").is_in(list(keys)) & pl.col("part").str.contains(r"\d"))
        .filter(pl.col("part").is_unique())
    )
    named = pl.concat([rows.drop_nulls("part"), led]).drop("item")
    found: dict[tuple[str | None, int], set[str]] = {}
    for sheet, row, part in named.iter_rows():
        found.setdefault((sheet, row), set()).add(part.strip().casefold())
    return {place: frozenset(parts) for place, parts in found.items()}


def _decide(
    finding: dict[str, Any],
    decisions: list[dict[str, Any]],
    parts: dict[tuple[str | None, int], frozenset[str]],
    *,
    several: bool,
) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Split a finding into what remains of it and what is accepted, and count the matches."""
    rows = rows_of(finding)
    open_rows = set(rows) or {0}  # 0 stands for a finding without rows
    taken: list[dict[str, Any]] = []
    corrections = []
    for decision in decisions:
        if decision["defect"] or decision["expired"] or decision["rule"] != finding["rule"]:
            continue
        if decision["observed"] and decision["observed"] != finding["observed"]:
            continue
        hit = _fits(decision["row_key"], finding, rows, parts, several=several)
        if not hit:
            continue
        decision["matched"] += 1
        if decision["decision"].casefold() == CORRECT:
            corrections.append((hit, decision))
        elif finding["severity"] == DANGER and not decision["document"]:
            decision["undocumented"] += 1
        else:
            taken += _marked(finding, open_rows, hit, decision)
    # what is accepted needs no correction, wherever its decision stands in the file
    left: list[dict[str, Any]] = []
    for hit, decision in corrections:
        left += _marked(finding, open_rows, hit, decision)
    return ([_of_rows(finding, sorted(open_rows))] if open_rows else []) + left, taken


def _marked(
    finding: dict[str, Any], open_rows: set[int], hit: Iterable[int], decision: dict[str, Any]
) -> list[dict[str, Any]]:
    """Write a decision on the open rows of a finding that it names, which are open no more."""
    fresh = sorted(open_rows.intersection(hit))
    if not fresh:
        return []
    open_rows.difference_update(fresh)
    named = {name: decision[name] for name in _KEPT}
    days = {n: date.fromisoformat(named[n]).isoformat() for n in ("date", "expires") if named[n]}
    mark = named | days | {"decision": decision["decision"].casefold()}
    return [_of_rows(finding, fresh) | {"decision": mark}]


def _fits(
    key: str,
    finding: dict[str, Any],
    rows: Iterable[int],
    parts: dict[tuple[str | None, int], frozenset[str]],
    *,
    several: bool,
) -> list[int]:
    """The rows of a finding that a row key names; ``[0]`` stands for a finding without rows.

    In a list of `several` sheets a bare ``row 14`` names none: each sheet has one.
    """
    wanted = key.strip().casefold()
    if wanted == f"column {finding['column'] or ''}".casefold():
        return list(rows) or [0]
    sheet = finding["sheet"]
    prefix = f"{sheet or ''}!".casefold()
    row_key = wanted.removeprefix(prefix)
    return [
        row
        for row in rows
        if (row_key == f"row {row}" and (wanted != row_key or not several))
        or wanted in parts.get((sheet, row), frozenset())
    ]


def _of_rows(finding: dict[str, Any], rows: list[int]) -> dict[str, Any]:
    """The same finding about fewer rows; untouched when it is about one row or none."""
    return finding | {"rows": rows} if finding["rows"] else finding


def _rows_of_sheets(report: Report) -> dict[str, str]:
    """How to name a row of a list of several sheets: ``row 3`` to ``'Chain!row 3'``, if any has."""
    places = report.matched.select("sheet", "row").unique(maintain_order=True)
    if places["sheet"].n_unique() < 2:
        return {}
    named: dict[str, list[str]] = {}
    for sheet, row in places.iter_rows():
        named.setdefault(f"row {row}", []).append(f"'{sheet}!row {row}'")
    return {key: or_list(names) for key, names in named.items()}


def _problems(
    decisions: list[dict[str, Any]], file: str, of_sheets: dict[str, str]
) -> pl.DataFrame:
    schema = dict.fromkeys(DECISION_COLUMNS, pl.String) | {
        "defect": pl.String, "line": pl.Int64, "matched": pl.Int64, "undocumented": pl.Int64,
        "expired": pl.Boolean, "with_sheet": pl.String,
    }  # fmt: skip
    for decision in decisions:
        decision["with_sheet"] = of_sheets.get(decision["row_key"].strip().casefold())
    frame = pl.DataFrame(decisions, schema=schema, orient="row")
    found = [pl.DataFrame(schema=STOCK_FINDING_SCHEMA)]
    for rule in all_rules("decision"):
        broken = rule.check(frame)
        fixed = {"rule": rule.name, "severity": rule.severity, "file": file}
        found.append(
            broken.select(
                pl.col(name).cast(dtype)
                if name in broken.columns
                else pl.lit(fixed.get(name), dtype=dtype).alias(name)
                for name, dtype in STOCK_FINDING_SCHEMA.items()
            )
        )
    return pl.concat(found)
