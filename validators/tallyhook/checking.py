"""Hold a stock list against the ratings: the whole way, from a file to a report."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

import polars as pl

from tallyhook.bounds import within_bounds
from tallyhook.errors import StockListError
from tallyhook.explaining.explain import explain
from tallyhook.interpreting.list_items import items_of_layouts, items_of_list, layouts_of
from tallyhook.matching.match import match
from tallyhook.messages import say
from tallyhook.model.distinct import DistinctItems
from tallyhook.model.layout import Layout
from tallyhook.model.options import ListOptions
from tallyhook.packages.package import Package, all_packages
from tallyhook.packages.reference import reference_ratings
from tallyhook.reporting.report import Report
from tallyhook.reporting.tidied import write_tidied
from tallyhook.rules.contradictions import contradicting_rows
from tallyhook.rules.judge import judge

if TYPE_CHECKING:
    import pandas as pd

__all__ = [
    "ListRows",
    "RatingBasis",
    "RowsInMemory",
    "check",
    "conclude",
    "rating_basis",
    "tidy",
]

_log = logging.getLogger(__name__)


def check(
    stock: str | Path | pd.DataFrame | pl.DataFrame,
    *,
    sheet: str | None = None,
    leave_out: Sequence[str] = (),
    columns: Mapping[str, str] | None = None,
    profile: str | Path | None = None,
    scheme: str | None = None,
    extra: Sequence[str | Path] = (),
    bounds: Mapping[str, int] | None = None,
    progress: Callable[[int], None] | None = None,
) -> Report:
    """Check a stock list.

    Parameters
    ----------
    stock : path or frame
        A file in any format that `tallyhook.reading.lists.read_list` reads, or a frame whose column
        names are the headings.
    sheet : str, optional
        Only this sheet of a workbook; all sheets otherwise.
    leave_out : sequence of str, optional
        Sheets not to check, by name, and tables, by one of their rows: ``"Prices"``,
        ``"Chain!row 40"``. What looks like ratings and is neither checked nor left out makes the
        report incomplete.
    columns : mapping of role to heading, optional
        Overrides what would be recognised: ``{"wll": "Cap."}``.
    profile : path, optional
        A file that keeps the mapping of a shop's columns.
    scheme : str, optional
        The rating scheme that rows claim unless their own words claim another
        (``vocabulary.schemes``); any scheme otherwise.
    extra : sequence of path
        Folders of a maker's rating packages, used beside the built-in ones.
    bounds : mapping of name to number, optional
        How much work the list may ask for, where it is not the usual:
        ``{"tables": 5000}`` (`tallyhook.bounds.Bounds`).
    progress : callable, optional
        Called with the number of rows read so far, after each batch of a long list.

    Returns
    -------
    Report
        With ``.findings``, ``.items``, ``.not_compared`` as pandas frames. ``.compared`` tells
        whether anything was compared at all, ``.incomplete`` why the answer is not whole: look at
        them before ``.failed("error")``.

    Raises
    ------
    StockListError
        The list cannot be read, or nothing in it can be a rating.
    PackageError
        A rating package is broken.
    """
    options = ListOptions(
        sheet=sheet,
        leave_out=tuple(leave_out),
        columns=columns or {},
        profile=profile,
        scheme=scheme,
        extra=tuple(extra),
        bounds=bounds or {},
    )
    basis = rating_basis(options)
    with within_bounds(options.bounds):
        layouts, listed = items_of_list(stock, options, progress)
    _log_read(layouts, listed.rows.height)
    return conclude(
        listed.distinct,
        RowsInMemory(rows=listed.rows),
        basis,
        layouts=layouts,
        file=layouts[0].sheet.file,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class RatingBasis:
    """What a list is held against: the packages, all ratings in them, and the scheme to claim."""

    packages: Mapping[str, Package]
    reference: pl.DataFrame = field(repr=False)
    scheme: str | None


def rating_basis(options: ListOptions) -> RatingBasis:
    """Take up the packages and the scheme that a list is to be held against.

    Raises
    ------
    StockListError
        There is no such scheme.
    PackageError
        A rating package is broken.
    """
    packages, scheme = all_packages(options.extra), options.scheme
    _log.debug("packages: %s", ", ".join(f"{name} {p.version}" for name, p in packages.items()))
    known = packages["vocabulary"]["schemes"]["scheme"].to_list()
    if scheme is not None and scheme not in known:
        raise StockListError(
            say("there is no rating scheme '{scheme}'", scheme=scheme),
            next_step=say("use one of {known}", known=", ".join(known)),
        )
    return RatingBasis(packages=packages, reference=reference_ratings(packages), scheme=scheme)


class ListRows(Protocol):
    """The rows of a list (`tallyhook.model.distinct.ROW_SCHEMA`), wherever they lie."""

    def contradicting(self, column: str) -> pl.DataFrame:
        """Give the rows whose value of a column stands with two different items."""

    def with_findings(
        self, keys: pl.Series, distinct: pl.DataFrame
    ) -> tuple[pl.DataFrame, pl.DataFrame | None]:
        """Give the rows that hold items of those keys, and all that `contradicting` gave.

        Beside them stand their places (`tallyhook.explaining.places.placed`), or None where the
        answer holds every row of the list. `distinct` are the matched items.
        """


@dataclass(frozen=True, slots=True, kw_only=True)
class RowsInMemory:
    """The rows of a list on this machine."""

    rows: pl.DataFrame = field(repr=False)

    def contradicting(self, column: str) -> pl.DataFrame:
        """Give the rows whose value of a column stands with two different items."""
        return contradicting_rows(self.rows, column)

    def with_findings(self, keys: pl.Series, distinct: pl.DataFrame) -> tuple[pl.DataFrame, None]:
        """Give every row."""
        del keys, distinct
        return self.rows, None


def conclude(
    distinct: pl.DataFrame,
    rows: ListRows,
    basis: RatingBasis,
    *,
    layouts: Sequence[Layout],
    file: str,
) -> Report:
    """Match, judge, explain and report the interpreted items of a list: the one way to a report.

    Parameters
    ----------
    distinct : frame
        The distinct items (`tallyhook.model.distinct.DistinctItems`).
    rows : ListRows
        The rows that hold them, on this machine or on a cluster.
    basis : RatingBasis
        What they are held against.
    layouts, file
        The tables of the list, and its name.
    """
    if basis.scheme is not None:
        distinct = distinct.with_columns(pl.col("scheme").fill_null(basis.scheme))
    distinct = match(distinct, basis.reference)
    _log.info(
        "%s: matched %d different items with %d ratings",
        file, distinct.height, basis.reference.height,
    )  # fmt: skip
    judgement = judge(distinct, rows.contradicting, basis.reference, basis.packages, file=file)
    _log.info("%s: judged, %d findings", file, judgement.findings.height)
    for rule, reason in judgement.crashed.items():
        _log.warning("%s: the rule %s crashed, no answer: %s", file, rule, reason)
    keys = judgement.findings["key"].drop_nulls().unique()
    kept, places = rows.with_findings(keys, distinct)
    listed = DistinctItems(distinct=distinct, rows=kept)
    findings = explain(judgement.findings, listed, basis.reference, basis.packages, places=places)
    _log.info("%s: explained, %d findings in the report", file, findings.height)
    return Report(
        file=file,
        layouts=tuple(layouts),
        listed=listed,
        stock_findings=findings,
        crashed=judgement.crashed,
        packages={name: package.version for name, package in basis.packages.items()},
    )


def tidy(
    stock: str | Path | pd.DataFrame | pl.DataFrame,
    folder: str | Path,
    *,
    sheet: str | None = None,
    columns: Mapping[str, str] | None = None,
    profile: str | Path | None = None,
    bounds: Mapping[str, int] | None = None,
) -> dict[str, int]:
    """Write a stock list as clean, typed, canonical data.

    Parameters
    ----------
    stock, sheet, columns, profile, bounds
        As for `check`.
    folder : path
        Where the data package goes: ``list.csv`` with the items and the original text of each
        row, ``unread.csv`` with what could not be read, ``skipped.csv`` with the rows that hold
        no item, and their ``datapackage.json``. Tidying its ``list.csv`` changes nothing.

    Returns
    -------
    dict
        How many ``items``, ``unread`` fields and ``skipped`` rows there are.

    Raises
    ------
    StockListError
        The list cannot be read, or the folder holds something else or cannot be written.
    """
    options = ListOptions(sheet=sheet, columns=columns or {}, profile=profile)
    with within_bounds(bounds or {}):
        layouts = layouts_of(stock, options)
        items = items_of_layouts(layouts).items()
    _log_read(layouts, items.height)
    return write_tidied(Path(folder), layouts, items)


def _log_read(layouts: Sequence[Layout], items: int) -> None:
    file = layouts[0].sheet.file
    _log.info("%s: read, %d items in %d tables", file, items, len(layouts))
    for layout in layouts if _log.isEnabledFor(logging.DEBUG) else ():
        taken = ", ".join(f"{c.role} from {c.heading!r}" for c in layout.columns)
        _log.debug("%s, sheet %s: columns: %s", file, layout.sheet.name, taken)
