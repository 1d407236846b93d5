"""The layouts of a sheet: which column and which row of each of its tables is what.

A column is taken for the rated load only with a heading or cells that say so; a price, a weight or
a quantity never is. What was decided, and why, stands on every column.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import polars as pl

from tallyhook.errors import StockListError
from tallyhook.messages import say, to_say
from tallyhook.model.layout import FORCES, ROLES, Column, Layout
from tallyhook.model.sheet import BY_NAME, LEFT_OUT, RATINGS, LeftOut, Sheet
from tallyhook.recognising.decimals import decimals_of
from tallyhook.recognising.ditto import holds_ditto, without_ditto
from tallyhook.recognising.evidence import (
    ColumnEvidence,
    Columns,
    TableEvidence,
    evidence_of,
    having,
    sample_of,
)
from tallyhook.recognising.heading_rows import Heading, find_heading
from tallyhook.recognising.left_out import state_of, state_of_tables
from tallyhook.recognising.lines import said_of_all_rows
from tallyhook.recognising.rows import SECTION_HEADING, RowEvidence, may_be_no_item, split_rows
from tallyhook.recognising.steps import after_all_steps
from tallyhook.recognising.steps.rating_required import NoRatedLoadError
from tallyhook.recognising.tables import Table, other_table_at, side_by_side, tables_of_sheet

__all__ = [
    "Stream",
    "layouts_of_sheet",
    "nothing_left",
    "state_of_sheet",
    "stream_of_sample",
]

_BY_NAME = to_say("of a table that was left out by name")


def layouts_of_sheet(
    sheet: Sheet,
    *,
    overrides: Mapping[str, str] | None = None,
    profile: Sequence[Mapping[str, str]] = (),
    leave_out: Collection[int] = (),
) -> list[Layout]:
    """Recognise the columns and rows of every table of a sheet.

    Tables may stand one below the other or side by side. One that holds no rated load is left out,
    its rows being skipped in the first layout; where it looks like ratings, or is left out by one
    of its rows, it is in ``left_out`` of the first layout's sheet as well.

    Parameters
    ----------
    sheet : Sheet
        The sheet as read.
    overrides : mapping of role to heading, optional
        ``{"wll": "Cap."}``: the heading as written, or the letter of the column; several are
        separated by semicolons. ``{"unit": "kg"}`` gives the unit of loads that carry none.
    profile : sequence of mappings
        Columns by ``heading`` with their ``role`` and ``unit``, from an earlier list of the shop
        (`tallyhook.recognising.profiles`). Overrides go before it.
    leave_out : collection of int
        Rows of tables that are not to be checked.

    Raises
    ------
    StockListError
        No column and no description can be a rated load, two columns could be it, or an override
        names no role or no column.
    """
    wanted = dict(overrides or {})
    _check_roles(wanted, sheet)
    layouts: list[Layout] = []
    refused: StockListError | None = None
    left: list[pl.DataFrame] = []
    left_out: list[LeftOut] = []
    for part, tables in tables_of_sheet(sheet):
        if not set(leave_out).isdisjoint(part["row"]):
            left.append(part.select("row", pl.lit(_BY_NAME).alias("why")))
            left_out.append(_left_out(sheet, part, BY_NAME, LEFT_OUT))
            continue
        try:
            for number, table in enumerate(tables):
                columns, evidence = _recognised(table, wanted, profile)
                layout = _layout(columns, evidence)
                if number:  # its other rows are those of the first half
                    layout = replace(layout, skipped=layout.skipped.clear())
                layouts.append(layout)
        except StockListError as error:
            refused = refused or error
            left.append(part.select("row", pl.lit(_why_left_out(error)).alias("why")))
            if (state := state_of_tables(tables, _recognised_alone)) == RATINGS:
                left_out.append(_left_out(sheet, part, error.what, state))
    if not layouts:
        raise refused or nothing_left(sheet.where)
    if left:
        skipped = pl.concat([layouts[0].skipped, *left]).sort("row")
        told = replace(sheet, left_out=(*sheet.left_out, *left_out))
        layouts[0] = replace(layouts[0], skipped=skipped, sheet=told)
    return layouts


def state_of_sheet(sheet: Sheet) -> str:
    """Say whether a sheet that is not checked looks like ratings."""
    return state_of(sheet, _recognised_alone)


def nothing_left(where: str) -> StockListError:
    """Say that everything was left out by name."""
    return StockListError(
        say("everything in it is left out by name"),
        where=where,
        next_step=say("name less with --leave-out"),
    )


def _left_out(sheet: Sheet, part: pl.DataFrame, why: str, state: str) -> LeftOut:
    filled = part.filter(pl.any_horizontal(pl.exclude("row").str.strip_chars() != ""))
    first = (filled if filled.height else part)["row"][0]
    return LeftOut(sheet=sheet.name, row=int(first), why=why, state=state)


def _recognised_alone(table: Table) -> object:
    """Recognise a table by itself, whatever a person says of the list's columns."""
    return _recognised(table, {}, ())


def _why_left_out(error: StockListError) -> str:
    if isinstance(error, NoRatedLoadError):
        return say("of a table without rated loads")
    return say("of a table that is not checked: {why}", why=error.what)  # what it holds is open


def _check_roles(wanted: Mapping[str, str], sheet: Sheet) -> None:
    for role in wanted:
        if role not in ROLES:
            raise StockListError(
                say("a column cannot be '{role}'", role=role),
                where=sheet.where,
                next_step=say("roles are {roles}", roles=", ".join(ROLES)),
            )


# ---- one table


def _recognised(
    table: Table, overrides: Mapping[str, str], profile: Sequence[Mapping[str, str]]
) -> tuple[Columns, TableEvidence]:
    columns, evidence = evidence_of(table, overrides=overrides, profile=profile)
    return after_all_steps(columns, evidence), evidence


def _layout(columns: Columns, table: TableEvidence) -> Layout:
    body, skipped = split_rows(table.frame, _row_evidence(columns, table), closed=True)
    body = without_ditto(body, [c.column for c in columns if c.role != "part"])
    decimal, by_column = decimals_of(columns, sample_of(body), table.sheet.stored_numbers)
    return Layout(
        sheet=table.sheet,
        heading_row=table.heading.row,
        columns=tuple(
            Column(
                column=c.column,
                heading=c.heading,
                role=c.role,
                unit=c.unit,
                unit_column=c.unit_column,
                why=c.why,
                gives=dict(c.gives),
                decimal=by_column.get(c.column),
                refused_role=_refused_role(c, columns),
                decisions=c.decisions,
            )
            for c in columns
        ),
        body=body,
        skipped=skipped,
        decimal=decimal,
    )


def _refused_role(column: ColumnEvidence, columns: Columns) -> str | None:
    """Give the role of a column that was refused, unless another column is what it is headed as.

    A second load is a load all the same: of a column of loads that holds none, every cell counts.
    """
    role = column.refused_role
    if column.role != "ignore" or role is None:
        return None
    return role if role in FORCES or not having(columns, role) else None


def _row_evidence(columns: Columns, table: TableEvidence) -> RowEvidence:
    others = having(columns, "size", "grade", "breaking", "proof")
    return RowEvidence(
        sheet=table.sheet,
        heading=table.heading,
        loads=tuple(c.column for c in having(columns, "wll")),
        others=tuple(c.column for c in others),
        start=said_of_all_rows(table),
        habits=table.habits,
    )


# ---- a long list


@dataclass(frozen=True, slots=True, kw_only=True)
class Stream:
    """The layout of a long list, from a sample of it, and how the rows of a batch are parted.

    `sort` gives the item rows of a batch and ``row`` and ``why`` of its others, or None when a
    heading stands among them that the next batches hang on. `doubtful` gives which rows it has to
    look at one by one; the others are items. `plain` gives whether the distinct texts of all
    batches leave the list one table that no ditto mark runs through.
    """

    layout: Layout
    last_heading: int
    doubtful: Callable[[pl.DataFrame], pl.Series]
    sort: Callable[[pl.DataFrame], tuple[pl.DataFrame, pl.DataFrame] | None]
    plain: Callable[[pl.DataFrame], bool]


def stream_of_sample(
    sample: Sheet,
    *,
    overrides: Mapping[str, str] | None = None,
    profile: Sequence[Mapping[str, str]] = (),
) -> Stream | None:
    """Do the same as `layouts_of_sheet` from a sample of one plain table; None if it is not one."""
    wanted = dict(overrides or {})
    _check_roles(wanted, sample)
    heading = find_heading(sample, sample.frame)
    if heading.row is None or other_table_at(sample, sample.frame, heading) is not None:
        return None
    table = Table(sheet=sample, frame=sample.frame, heading=heading)
    if len(side_by_side(table)) > 1:
        return None
    columns, evidence = _recognised(table, wanted, profile)
    layout = _layout(columns, evidence)
    if evidence.habits.usual == 1 or _has_sections(layout.skipped):
        return None
    by = _row_evidence(columns, evidence)

    def sort(batch: pl.DataFrame) -> tuple[pl.DataFrame, pl.DataFrame] | None:
        # here stand all cells of a row; `plain` sees only those that items are read from
        if other_table_at(sample, batch, heading) is not None:
            return None
        body, skipped = split_rows(batch, by, closed=False)
        return None if _has_sections(skipped) else (body, skipped)

    return Stream(
        layout=layout,
        last_heading=heading.last,
        doubtful=lambda batch: may_be_no_item(batch, by),
        sort=sort,
        plain=lambda texts: _is_plain(texts, sample, heading),
    )


def _has_sections(skipped: pl.DataFrame) -> bool:
    return bool((skipped["why"] == SECTION_HEADING).any())


def _is_plain(texts: pl.DataFrame, sample: Sheet, heading: Heading) -> bool:
    """Whether distinct texts hold no ditto mark and no heading of another table."""
    cells = [c for c in texts.columns if c in sample.frame.columns]
    below = texts.select(pl.int_range(pl.len()).alias("row") + heading.last + 1, *cells)
    filled = below.with_columns(pl.col(cells).fill_null(""))
    repeated = [c for c in texts.columns if c in (*cells, "supplier")]
    return not holds_ditto(texts, repeated) and other_table_at(sample, filled, heading) is None
