"""The habits of a list: inches or millimetres, American or metric."""

from __future__ import annotations

import re
from functools import cache

import polars as pl

from tallyhook.model.layout import Column, Layout
from tallyhook.vocabulary.context import units_with

__all__ = ["size_habits", "system_of"]

_FRACTION = r"(?:^|[^0-9])(?:1|3|5|9|11|13|15)/(?:2|4|8|16|32)(?:[^0-9]|$)"
"""An inch fraction of a chain size or a hook size."""

_SHORT_FRACTION = r"(?:^|[^0-9])(?:1|3|5|9)/(?:2|4|8|16|32)(?:[^0-9]|$)"
"""One that is more than a ratio or a date, between the words of a description."""

_BARE_MILLIMETRES = r"^(?:[4-9]|[1-4][0-9])(?:[.,][0-9])?$"
"""A number that is a chain size in millimetres and none in inches."""

_US, _METRIC = frozenset({"lb", "in", "short ton"}), frozenset({"kg", "t", "kN", "daN", "mm"})


@cache
def _number_in(*units: str) -> str:
    """A pattern of a number with a unit in any of its spellings."""
    spelled = sorted({s for unit in units for s in units_with(unit=unit) if s.isalpha()})
    return rf"[0-9]\s*(?:{'|'.join(map(re.escape, spelled))})\b"


@cache
def _number_in_inches() -> str:
    return rf'[0-9]\s*"|{_number_in("in")}'


_ODD_ROWS = 0.25
"""Rows of the other system, by those of the list's own, that are taken for odd ones: one in five.
Each is read as it is written, and makes no other doubtful."""


def size_habits(layout: Layout, sizes: list[Column]) -> tuple[dict[str, bool], dict[str, bool]]:
    """Find for each size column whether it holds inch fractions and whether millimetres."""
    fractions, millimetres = {}, {}
    for column in sizes:
        inch, metric = _one_or_both(
            _weighed(layout, pl.col(column.column).fill_null("").str.strip_chars()),
            f"(?i){_FRACTION}|{_number_in_inches()}",
            f"(?i){_number_in('mm')}|{_BARE_MILLIMETRES}",
        )
        fractions[column.column] = inch and column.unit != "mm"
        millimetres[column.column] = metric or column.unit == "mm"
    return fractions, millimetres


def _weighed(layout: Layout, text: pl.Expr) -> pl.DataFrame:
    """Give each distinct ``text``, and in how many ``rows`` of the list it stands."""
    times = pl.col("times") if "times" in layout.body.columns else pl.lit(1)
    rows = layout.body.select(text.alias("text"), times.alias("rows"))
    return rows.group_by("text").agg(pl.col("rows").sum())


def _one_or_both(texts: pl.DataFrame, us: str, metric: str) -> tuple[bool, bool]:
    """Whether texts are of the one system and whether of the other, but for a few odd rows."""
    found = texts.select(
        "rows",
        pl.col("text").str.contains(us).alias("us"),
        pl.col("text").str.contains(metric).alias("metric"),
    )
    in_us, in_metric = (
        int(found.filter(pl.col(system))["rows"].sum()) for system in ("us", "metric")
    )
    return in_us > _ODD_ROWS * in_metric, in_metric > _ODD_ROWS * in_us


def system_of(layout: Layout, inches: bool, millimetres: bool) -> str | None:
    """Decide whether a list is American or metric: by sizes, then units, then the decimal mark."""
    if inches != millimetres:
        return "us" if inches else "metric"
    if inches and millimetres:
        return None
    units = {c.unit for c in layout.columns if c.role in ("wll", "size") and c.unit}
    us, metric = bool(units & _US), bool(units & _METRIC)
    if us or metric:
        return _either(us=us, metric=metric)
    us, metric = _described(layout)
    if us or metric:
        return _either(us=us, metric=metric)
    return "metric" if layout.decimal == "," else None


def _either(*, us: bool, metric: bool) -> str | None:
    return None if us and metric else "us" if us else "metric"


def _described(layout: Layout) -> tuple[bool, bool]:
    """Whether the descriptions of a list name American units, and whether metric ones."""
    texts = [c.column for c in layout.columns if c.role == "description"]
    if not texts:
        return False, False
    words = pl.concat_str([pl.col(c).fill_null("") for c in texts], separator=" ")
    return _one_or_both(
        _weighed(layout, words),
        rf'(?i){_SHORT_FRACTION}|[0-9]\s*"|{_number_in("lb")}',
        f"(?i){_number_in('mm', 'kg', 'kN')}",
    )
