"""Decisions remembered: a finding that someone has accepted moves to a section of its own.

A decision (`tallyhook.reporting.decision_file`) holds for what was decided: the part or row, the
rule and, where it says it, the number and the words of the row. Where two decisions contradict each
other neither holds. What is wrong with a decision is a finding (``tallyhook.rules.decision``).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import polars as pl

from tallyhook.model.finding import ACCEPT, CORRECT, DANGER, DECISION, STOCK_FINDING_SCHEMA
from tallyhook.reporting.decision_file import DECISION_COLUMNS, names_a_document, read_decisions
from tallyhook.reporting.finding_text import rows_of
from tallyhook.rules import all_rules
from tallyhook.rules.decision import COLUMN_ALONE, ITEM_MISSING, NUMBER_MISSING, ROW_ALONE
from tallyhook.rules.stock import item_words
from tallyhook.wording import and_list, or_list

if TYPE_CHECKING:
    from tallyhook.reporting.report import Report

__all__ = ["Decided", "apply_decisions"]

Finding = dict[str, Any]
Decision = dict[str, Any]
Parts = Mapping[tuple[str | None, int], frozenset[str]]

_KEPT = [part.name for part in DECISION.fields]
_COLUMN, _ROW, _PART = "column", "row", "part"
_NO_ROW = 0
"""Stands for a finding without rows."""


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
    parts = _parts(report, {d["row_key"].strip().casefold() for d in decisions})
    several = report.matched["sheet"].n_unique() > 1
    of_rule: dict[str, list[Decision]] = {}
    for decision in decisions:
        if not decision["defect"] and not decision["expired"]:
            of_rule.setdefault(decision["rule"], []).append(decision)
    left: list[Finding] = []
    accepted: list[Finding] = []
    found: list[tuple[Finding, list[tuple[list[int], Decision]]]] = []
    for finding in report.stock_findings.iter_rows(named=True):
        mine = of_rule.get(finding["rule"], [])
        meant = _meant(finding, mine, parts, report, several=several) if mine else []
        found.append((finding, meant))
    for decision in decisions:
        if len(decision["items"]) > 1:
            decision["lacks"], decision["shown"] = ITEM_MISSING, or_list(sorted(decision["items"]))
    for finding, meant in found:
        sure = [(rows, decision) for rows, decision in meant if decision["lacks"] != ITEM_MISSING]
        remaining, taken = _decide(finding, sure)
        accepted += taken
        left += remaining
    for group in of_rule.values():
        _compare_numbers(group)
    problems = _problems(decisions, str(path), _rows_of_sheets(report))
    kept = pl.DataFrame(left, schema=STOCK_FINDING_SCHEMA, orient="row")
    return Decided(
        report=replace(
            report,
            stock_findings=pl.concat([kept, problems]),
            accepted=pl.DataFrame(accepted, schema=STOCK_FINDING_SCHEMA, orient="row"),
        )
    )


# --- which rows of a finding a decision means


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


def _meant(
    finding: Finding,
    decisions: Sequence[Decision],
    parts: Parts,
    report: Report,
    *,
    several: bool,
) -> list[tuple[list[int], Decision]]:
    """Give the decisions that are about a finding, each with the rows that it holds for."""
    rows = rows_of(finding)
    found = []
    for decision in decisions:
        kind, hit = _named(decision["row_key"], finding, rows, parts, several=several)
        if kind == _COLUMN or not finding["rows"]:
            own = {row: [(finding["item"], finding["observed"])] for row in hit}
        else:
            own = _own(finding, hit, report)
        fits = [row for row in hit if any(_says(decision, *each) for each in own[row])]
        if not fits:
            continue
        decision["matched"] += 1
        if decision["decision"].casefold() == ACCEPT and not _may_accept(
            decision, finding, kind, own[fits[0]][0]
        ):
            continue
        if decision["decision"].casefold() == ACCEPT and finding["severity"] == DANGER:
            # one number may stand with several things: nobody knows which of them was looked at
            decision["items"] |= {
                item or "" for row in fits for item, load in own[row] if _says(decision, item, load)
            }
        found.append((fits, decision))
    return found


def _named(
    key: str, finding: Finding, rows: Sequence[int], parts: Parts, *, several: bool
) -> tuple[str, list[int]]:
    """Give the rows of a finding that a row key names, and how it names them.

    A column is that of a finding about several rows, or about none, alone. In a list of `several`
    sheets a bare ``row 14`` names none: each sheet has one.
    """
    wanted = key.strip().casefold()
    if wanted == f"column {finding['column'] or ''}".casefold():
        return _COLUMN, [] if finding["row"] is not None else (list(rows) or [_NO_ROW])
    sheet = finding["sheet"]
    row_key = wanted.removeprefix(f"{sheet or ''}!".casefold())
    by_number = [r for r in rows if row_key == f"row {r}" and (wanted != row_key or not several)]
    if by_number:
        return _ROW, by_number
    return _PART, [r for r in rows if wanted in parts.get((sheet, r), frozenset())]


def _own(
    finding: Finding, rows: Sequence[int], report: Report
) -> dict[int, list[tuple[str | None, str | None]]]:
    """Give the words and the load of each item of some rows, as a finding about it alone has them.

    A finding about many rows says what it observed in one of them.
    """
    found: dict[int, list[tuple[str | None, str | None]]] = {row: [] for row in rows}
    if not rows:
        return found
    items = report.matched.filter(
        pl.col("sheet").eq_missing(pl.lit(finding["sheet"], dtype=pl.String))
        & pl.col("row").is_in(list(rows))
    )
    told = items.select("row", item_words(), "wll_column", "wll_text", "wll2_column", "wll2_text")
    for row, item, column, load, column2, load2 in told.iter_rows():
        if finding["column"] == column or finding["column"] != column2:
            found[row].append((item, load))
        else:
            found[row].append((item, load2))
    return found


def _says(decision: Decision, item: str | None, observed: str | None) -> bool:
    """Whether what a decision says of the row is what stands there."""
    return all(
        decision[name] is None or _one_space(decision[name]) == _one_space(value or "")
        for name, value in (("item", item), ("observed", observed))
    )


def _one_space(text: str) -> str:
    return " ".join(text.split())


def _may_accept(
    decision: Decision, finding: Finding, kind: str, own: tuple[str | None, str | None]
) -> bool:
    """Whether a decision says enough to accept a finding; what it lacks is written on it."""
    danger = finding["severity"] == DANGER
    item, observed = own
    if danger and kind == _COLUMN:
        decision["lacks"] = COLUMN_ALONE
    elif kind == _ROW and not (decision["item"] and decision["observed"]):
        decision["lacks"] = ROW_ALONE
        decision["shown"] = f"{item or ''}; {observed or ''}"
    elif danger and not decision["observed"]:
        decision["lacks"], decision["shown"] = NUMBER_MISSING, observed or ""
    elif danger and not names_a_document(decision["document"]):
        decision["undocumented"] += 1
    else:
        return True
    return False


# --- what is decided


def _decide(
    finding: Finding, meant: Sequence[tuple[list[int], Decision]]
) -> tuple[list[Finding], list[Finding]]:
    """Split a finding into what remains of it and what is accepted; marked where decided on."""
    contradicted = _contradicted(meant)
    open_rows = set(rows_of(finding)) or {_NO_ROW}
    taken: list[Finding] = []
    left: list[Finding] = []
    for rows, decision in meant:
        hit = [row for row in rows if row not in contradicted]
        to_correct = decision["decision"].casefold() == CORRECT
        (left if to_correct else taken).extend(_marked(finding, open_rows, hit, decision))
    return ([_of_rows(finding, sorted(open_rows))] if open_rows else []) + left, taken


def _contradicted(meant: Sequence[tuple[list[int], Decision]]) -> set[int]:
    """Give the rows on which two decisions contradict each other; each is told of the other."""
    found: set[int] = set()
    for number, (rows, decision) in enumerate(meant):
        for others, other in meant[number + 1 :]:
            both = set(rows).intersection(others)
            if both and _contradict(decision, other):
                found |= both
                _tell(decision, other)
    return found


def _contradict(one: Decision, other: Decision) -> bool:
    """One accepts what the other will correct, or they accept the same on different terms."""
    if one["decision"].casefold() != other["decision"].casefold():
        return True
    same_key = one["row_key"].casefold() == other["row_key"].casefold()
    return same_key and any(one[name] != other[name] for name in ("document", "expires"))


def _compare_numbers(decisions: Sequence[Decision]) -> None:
    """Tell of each other the decisions that accept one thing at several numbers, one not there."""
    groups: dict[tuple[str, str | None], list[Decision]] = {}
    for decision in decisions:
        if decision["decision"].casefold() == ACCEPT:
            groups.setdefault((decision["row_key"].casefold(), decision["item"]), []).append(
                decision
            )
    for group in groups.values():
        for stale in [d for d in group if not d["matched"]]:
            for other in group:
                if other["observed"] != stale["observed"]:
                    _tell(stale, other)


def _tell(one: Decision, other: Decision) -> None:
    for decision, against in ((one, other), (other, one)):
        lines = decision["against"] or []
        if against["line"] not in lines:
            decision["against"] = [*lines, against["line"]]


def _marked(
    finding: Finding, open_rows: set[int], hit: Iterable[int], decision: Decision
) -> list[Finding]:
    """Write a decision on the open rows of a finding that it names, which are open no more."""
    fresh = sorted(open_rows.intersection(hit))
    if not fresh:
        return []
    open_rows.difference_update(fresh)
    named = {name: decision[name] for name in _KEPT}
    days = {n: date.fromisoformat(named[n]).isoformat() for n in ("date", "expires") if named[n]}
    mark = named | days | {"decision": decision["decision"].casefold()}
    return [_of_rows(finding, fresh) | {"decision": mark}]


def _of_rows(finding: Finding, rows: list[int]) -> Finding:
    """The same finding about fewer rows; untouched when it is about one row or none."""
    return finding | {"rows": rows} if finding["rows"] else finding


# --- what is wrong with the decisions


def _rows_of_sheets(report: Report) -> dict[str, str]:
    """How to name a row of a list of several sheets: ``row 3`` to ``'Chain!row 3'``, if any has."""
    places = report.matched.select("sheet", "row").unique(maintain_order=True)
    if places["sheet"].n_unique() < 2:
        return {}
    named: dict[str, list[str]] = {}
    for sheet, row in places.iter_rows():
        named.setdefault(f"row {row}", []).append(f"'{sheet}!row {row}'")
    return {key: or_list(names) for key, names in named.items()}


def _problems(decisions: Sequence[Decision], file: str, of_sheets: dict[str, str]) -> pl.DataFrame:
    schema = dict.fromkeys(DECISION_COLUMNS, pl.String) | {
        "defect": pl.String, "line": pl.Int64, "matched": pl.Int64, "undocumented": pl.Int64,
        "expired": pl.Boolean, "with_sheet": pl.String, "lacks": pl.String, "shown": pl.String,
        "against": pl.String,
    }  # fmt: skip
    for decision in decisions:
        decision["with_sheet"] = of_sheets.get(decision["row_key"].strip().casefold())
        decision["against"] = _line_numbers(decision["against"])
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


def _line_numbers(lines: Sequence[int] | None) -> str | None:
    return and_list([str(line) for line in sorted(lines)]) if lines else None
