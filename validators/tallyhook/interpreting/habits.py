"""The habits of a list: inches or millimetres, American or metric."""

from __future__ import annotations

import polars as pl

from tallyhook.model.layout import Column, Layout

__all__ = ["size_habits", "system_of"]


def size_habits(layout: Layout, sizes: list[Column]) -> tuple[dict[str, bool], dict[str, bool]]:
    """Tell for each size column whether it holds inch fractions and whether millimetres."""
    fractions, millimetres = {}, {}
    for column in sizes:
        texts = layout.body.select(
            pl.col(column.column).fill_null("").str.strip_chars().unique()
        ).to_series()
        texts = texts.filter(texts != "")
        inch = texts.str.contains(
            r'(?:^|[^0-9])(?:1|3|5|9|11|13|15)/(?:2|4|8|16|32)(?:[^0-9]|$)|[0-9]\s*(?:"|in\b)'
        )
        metric = texts.str.contains(r"(?i)[0-9]\s*mm\b|^(?:[4-9]|[1-4][0-9])(?:[.,][0-9])?$")
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
    us, metric = (
        bool(units & {"lb", "in", "short ton"}),
        bool(units & {"kg", "t", "kN", "daN", "mm"}),
    )
    if us != metric:
        return "us" if us else "metric"
    if us and metric:
        return None
    texts = [c.column for c in layout.columns if c.role == "description"]
    if texts:
        words = layout.body.select(
            pl.concat_str([pl.col(c).fill_null("") for c in texts], separator=" ").unique()
        ).to_series()
        inch = int(
            words.str.contains(
                r'(?i)(?:^|[^0-9])(?:1|3|5|9)/(?:2|4|8|16|32)(?:[^0-9]|$)|[0-9]\s*(?:"|lbs?\b)'
            ).sum()
        )
        mm = int(words.str.contains(r"(?i)[0-9]\s*(?:mm|kg|kn)\b").sum())
        if (inch > 0) != (mm > 0):
            return "us" if inch else "metric"
        if inch and mm:
            return None
    return "metric" if layout.decimal == "," else None
