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


def size_habits(layout: Layout, sizes: list[Column]) -> tuple[dict[str, bool], dict[str, bool]]:
    """Find for each size column whether it holds inch fractions and whether millimetres."""
    fractions, millimetres = {}, {}
    for column in sizes:
        texts = layout.body.select(
            pl.col(column.column).fill_null("").str.strip_chars().unique()
        ).to_series()
        texts = texts.filter(texts != "")
        inch = texts.str.contains(f"(?i){_FRACTION}|{_number_in_inches()}")
        metric = texts.str.contains(f"(?i){_number_in('mm')}|{_BARE_MILLIMETRES}")
        fractions[column.column] = bool(inch.any()) and column.unit != "mm"
        millimetres[column.column] = bool(metric.any()) or column.unit == "mm"
    return fractions, millimetres


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
    words = layout.body.select(
        pl.concat_str([pl.col(c).fill_null("") for c in texts], separator=" ").unique()
    ).to_series()
    us = words.str.contains(rf'(?i){_SHORT_FRACTION}|[0-9]\s*"|{_number_in("lb")}')
    metric = words.str.contains(f"(?i){_number_in('mm', 'kg', 'kN')}")
    return bool(us.any()), bool(metric.any())
