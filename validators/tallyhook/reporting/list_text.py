"""The list itself in words: what its columns were taken for, what was not checked or compared."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import polars as pl

from tallyhook.messages import say, say_count, say_values
from tallyhook.model.sheet import HIDDEN, LEFT_OUT, LeftOut
from tallyhook.packages.descriptors import PRACTICE
from tallyhook.recognising.rows import HIDDEN_ROW
from tallyhook.reporting.left_out import place_of
from tallyhook.wording import and_list, or_list, row_ranges

if TYPE_CHECKING:
    from tallyhook.model.layout import Layout
    from tallyhook.reporting.report import Report

__all__ = [
    "checked_sheets",
    "counts_text",
    "not_compared",
    "passed_over",
    "practice_text",
    "unchecked",
]


def counts_text(counts: Mapping[str, object]) -> str:
    """Say how many items agree, are contradicted and not compared."""
    return say(
        "{agree} agree, {contradicted} contradicted, {not_compared} not compared, "
        "{rows} items in all",
        **{name: counts[name] for name in ("agree", "contradicted", "not_compared", "rows")},
    )


def practice_text(report: Report) -> str | None:
    """Say how many of the items that agree do so with common practice alone; None for none."""
    by_practice = report.matched.filter(
        (pl.col("outcome") == "agree") & (pl.col("agreed_known_by") == PRACTICE)
    )
    if by_practice.is_empty():
        return None
    return say_count(
        "{n} agrees with common practice only: no named document of its scheme rates it",
        "{n} agree with common practice only: no named document of their scheme rates them",
        by_practice.height,
    )


def not_compared(report: Report) -> pl.DataFrame:
    """The items that no table was held against: sheet, row, item, why, unread; in list order."""
    left = report.matched.filter(pl.col("outcome") == "not compared")
    why = say_values(left["why"].fill_null(""))
    return left.select("sheet", "row", "item", why, "unread")


def passed_over(layout: Layout) -> list[dict[str, Any]]:
    """The rows of a table that hold no item, by reason: why (as a key), title, rows."""
    groups = layout.skipped.group_by("why", maintain_order=True).agg("row")
    return [{"why": why, "title": say(why), "rows": rows} for why, rows in groups.iter_rows()]


def unchecked(layouts: Sequence[Layout]) -> str:
    """Say which rows and sheets of a list were not looked at; empty when all were.

    Examples
    --------
    >>> from tallyhook.reading.lists import sheet_from_frame
    >>> from tallyhook.recognising.layouts import layouts_of_sheet
    >>> import polars as pl
    >>> frame = pl.DataFrame({"Chain": ["10 mm G8", "13 mm G8"], "WLL kg": [3150, 5300]})
    >>> unchecked(layouts_of_sheet(sheet_from_frame(frame)))
    ''
    """
    rows = _hidden_rows(layouts)
    left_out = list(dict.fromkeys(left for each in layouts for left in each.sheet.left_out))
    by_name = [left for left in left_out if left.state == LEFT_OUT]
    tables = [left for left in left_out if left.row is not None and left not in by_name]
    sheets = [left for left in left_out if left.row is None and left not in by_name]
    hidden = [left for left in sheets if left.why == HIDDEN]
    refused = [left for left in sheets if left.why != HIDDEN]
    parts = _parts(rows, hidden, refused, tables, by_name)
    if not parts:
        return ""
    steps = [say("unhide the rows")] if rows else []
    if refused:  # a sheet alone would be refused again
        steps.append(say("name a sheet with --sheet, and its columns with --column"))
    elif hidden:
        steps.append(say("name a sheet with --sheet"))
    steps += [say("put a table on a sheet of its own")] if tables else []
    count = sum(map(len, rows.values())) + len(left_out)
    told = and_list(parts)
    if not steps:
        return say_count("{parts} was not checked", "{parts} were not checked", count, parts=told)
    return say_count(
        "{parts} was not checked; to check them, {steps}",
        "{parts} were not checked; to check them, {steps}",
        count,
        parts=told,
        steps=or_list(steps),
    )


def _hidden_rows(layouts: Sequence[Layout]) -> dict[str | None, list[int]]:
    rows: dict[str | None, list[int]] = {}
    for each in layouts:  # several tables may stand on one sheet
        if len(hidden := each.skipped.filter(pl.col("why") == HIDDEN_ROW)["row"]):
            rows.setdefault(each.sheet.name, []).extend(hidden)
    return rows


def _parts(
    rows: Mapping[str | None, list[int]],
    hidden: Sequence[LeftOut],
    refused: Sequence[LeftOut],
    tables: Sequence[LeftOut],
    by_name: Sequence[LeftOut],
) -> list[str]:
    """Say what was not checked, each kind of it in a clause."""
    parts = []
    if rows:
        places = "; ".join(
            say("{rows} of '{sheet}'", rows=row_ranges(found), sheet=name)
            if name
            else row_ranges(found)
            for name, found in rows.items()
        )
        count = sum(map(len, rows.values()))
        parts.append(
            say_count("{n} hidden row ({rows})", "{n} hidden rows ({rows})", count, rows=places)
        )
    if hidden:
        parts.append(
            say_count(
                "{n} hidden sheet ({names})",
                "{n} hidden sheets ({names})",
                len(hidden),
                names=_names(hidden),
            )
        )
    if refused:
        parts.append(
            say_count(
                "{n} other sheet ({names})",
                "{n} other sheets ({names})",
                len(refused),
                names=_names(refused, why=True),
            )
        )
    if tables:
        parts.append(
            say_count(
                "{n} table ({names})",
                "{n} tables ({names})",
                len(tables),
                names=_names(tables, why=True),
            )
        )
    if by_name:
        parts.append(
            say_count(
                "{n} left out by name ({names})",
                "{n} left out by name ({names})",
                len(by_name),
                names=_names(by_name),
            )
        )
    return parts


def _names(left_out: Sequence[LeftOut], *, why: bool = False) -> str:
    if why:
        return "; ".join(f"'{place_of(left)}': {say(left.why)}" for left in left_out)
    return ", ".join(f"'{place_of(left)}'" for left in left_out)


def checked_sheets(report: Report) -> list[dict[str, Any]]:
    """What each sheet of the list was taken for: its columns, and the rows passed over."""
    return [
        {
            "name": layout.sheet.name,
            "heading_row": layout.heading_row,
            "rows": layout.body.height,
            "columns": [
                {
                    "heading": c.heading or c.column,
                    "role": c.role,
                    "unit": c.unit or "",
                    "why": say(c.why),
                }
                for c in layout.columns
            ],
            "skipped": [
                {"why": each["title"], "count": len(each["rows"]), "rows": row_ranges(each["rows"])}
                for each in passed_over(layout)
            ],
        }
        for layout in report.layouts
    ]
