"""Hold a stock list against the ratings: the whole way, from a file to a report."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import polars as pl

from tallyhook.errors import StockListError
from tallyhook.explain import explain
from tallyhook.interpret import interpret
from tallyhook.items import ITEM_SCHEMA
from tallyhook.judge import judge
from tallyhook.match import match
from tallyhook.packages import Package, built_in_packages, load_package
from tallyhook.read import read_list, sheet_from_frame
from tallyhook.recognise import Layout, recognise
from tallyhook.reference import reference_ratings
from tallyhook.report import Report

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["all_packages", "check", "layouts_of"]


def check(
    stock: str | Path | pd.DataFrame | pl.DataFrame,
    *,
    sheet: str | None = None,
    columns: Mapping[str, str] | None = None,
    scheme: str | None = None,
    extra: Sequence[str | Path] = (),
) -> Report:
    """Check a stock list.

    Parameters
    ----------
    stock : path or frame
        A file in any format that `tallyhook.read.read_list` reads, or a frame whose column
        names are the headings.
    sheet : str, optional
        Only this sheet of a workbook; all sheets otherwise.
    columns : mapping of role to heading, optional
        Overrides what would be recognised: ``{"wll": "Cap."}``.
    scheme : str, optional
        The rating scheme that rows claim unless their own words claim another
        (``vocabulary.schemes``); any scheme otherwise.
    extra : sequence of path
        Folders of a maker's rating packages, used beside the built-in ones.

    Returns
    -------
    Report
        With ``.findings``, ``.items``, ``.not_compared`` as pandas frames.

    Raises
    ------
    StockListError
        The list cannot be read, or nothing in it can be a rating.
    PackageError
        A rating package is broken.
    """
    packages = all_packages(extra)
    _known_scheme(scheme, packages)
    layouts = layouts_of(stock, sheet=sheet, columns=columns)
    items = pl.concat(
        [pl.DataFrame(schema=ITEM_SCHEMA), *(interpret(layout) for layout in layouts)]
    )
    if scheme:
        items = items.with_columns(pl.col("scheme").fill_null(scheme))
    reference = reference_ratings(packages)
    matched = match(items, reference)
    file = layouts[0].sheet.file
    judgement = judge(matched, reference, packages, file=file)
    findings = explain(judgement.findings, matched, reference, packages["vocabulary"]["causes"])
    return Report(
        file=file,
        layouts=tuple(layouts),
        matched=matched,
        stock_findings=findings,
        crashed=judgement.crashed,
        packages={name: package.version for name, package in packages.items()},
    )


def all_packages(extra: Sequence[str | Path] = ()) -> dict[str, Package]:
    """The built-in packages and the extra ones, by name.

    Raises
    ------
    PackageError
        An extra package is broken, or has the name of another.
    """
    packages = dict(built_in_packages())
    for folder in extra:
        package = load_package(folder)
        name = package.name if package.name not in packages else f"{package.name} ({folder})"
        packages[name] = package
    return packages


def layouts_of(
    stock: str | Path | pd.DataFrame | pl.DataFrame,
    *,
    sheet: str | None = None,
    columns: Mapping[str, str] | None = None,
) -> list[Layout]:
    """Read a list and recognise the columns of every sheet that holds ratings.

    Raises
    ------
    StockListError
        The list cannot be read, or no sheet of it holds a rating.
    """
    sheets = (
        read_list(stock, sheet=sheet)
        if isinstance(stock, (str, Path))
        else [sheet_from_frame(stock)]
    )
    layouts, refused = [], []
    for each in sheets:
        try:
            layouts.append(recognise(each, overrides=dict(columns or {})))
        except StockListError as error:
            refused.append(error)
    if not layouts:
        raise refused[0]
    return layouts


def _known_scheme(scheme: str | None, packages: Mapping[str, Package]) -> None:
    known = packages["vocabulary"]["schemes"]["scheme"].to_list()
    if scheme is not None and scheme not in known:
        raise StockListError(
            f"there is no rating scheme '{scheme}'", next_step=f"use one of {', '.join(known)}"
        )
