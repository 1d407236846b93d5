"""Mistakes as people make them, each a function from a clean row to the number it leaves.

Written from the description of each cause and not from the code that finds it. A mistake that
cannot happen to a row gives None.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

import polars as pl

from seeding.shops import KG, Row, Shop, plain

__all__ = ["MISTAKES", "Tables", "outcome"]


class Tables:
    """Published ratings by kind, scheme, grade, size; for slips to other cells."""

    def __init__(self, reference: pl.DataFrame) -> None:
        known = reference.filter(
            (pl.col("known_by") != "recalled")
            & ~pl.col("deduction").fill_null("").str.contains("25")
        )
        self.rows: list[dict[str, Any]] = known.to_dicts()
        self.index: dict[tuple[str, str], list[dict[str, Any]]] = {}
        for r in self.rows:
            self.index.setdefault((r["kind"], r["scheme"]), []).append(r)

    def like(self, row: Row, **other: Any) -> list[dict[str, Any]]:
        """Cells of the row's own table that differ from the row only in what is named."""
        wanted = {
            "grade": row.grade,
            "size_mm": row.size_mm,
            "cradle": row.cradle,
            "legs": row.legs,
            "angle_to_deg": row.angle,
            "unit": row.published_unit,
        } | {k: v for k, v in other.items() if k != "kind"}
        if row.kind != "sling" and other.get("kind") != "sling":
            wanted.pop("angle_to_deg")
        if wanted.get("legs") == 1:
            wanted.pop("angle_to_deg", None)
        cells = self.index.get((other.get("kind", row.kind), row.scheme), [])
        return [c for c in cells if all(_same(c[k], v) for k, v in wanted.items())]

    def sizes(self, row: Row) -> list[float]:
        """The ladder of sizes the row stands on."""
        return sorted(
            {c["size_mm"] for c in self.index[row.kind, row.scheme] if c["grade"] == row.grade}
        )


def _same(cell: Any, wanted: Any) -> bool:
    return bool(wanted(cell)) if callable(wanted) else cell == wanted


def _write(row: Row, shop: Shop, kg: float) -> float:
    value = kg / KG[row.unit]
    figures = 6 if shop.figures is None else shop.figures
    return float(f"{value:.{figures}g}")


def _cell(row: Row, shop: Shop, cells: list[dict[str, Any]], draw: random.Random) -> float | None:
    if not cells:
        return None
    cell = draw.choice(cells)
    if cell["unit"] == row.unit:
        return float(cell["value"])
    return _write(row, shop, cell["value"] * KG[cell["unit"]])


Mistake = Callable[[Row, Shop, Tables, random.Random], float | None]
MISTAKES: dict[str, Mistake] = {}


def _mistake(name: str) -> Callable[[Mistake], Mistake]:
    def add(function: Mistake) -> Mistake:
        MISTAKES[name] = function
        return function

    return add


def _true_kg(row: Row) -> float:
    return row.value * KG[row.published_unit]


def _as_unit(unit: str, units: tuple[str, ...]) -> Mistake:
    """The number in `unit` stands in a column of one of `units`, a thousandth of it where tons are."""

    def function(row: Row, shop: Shop, tables: Tables, draw: random.Random) -> float | None:
        if row.unit not in units:
            return None
        number = (
            row.value if row.published_unit == unit else float(f"{_true_kg(row) / KG[unit]:.4g}")
        )
        return number / 1000 if row.unit in ("t", "short ton") and unit in ("lb", "kg") else number

    return function


MISTAKES["pounds-as-kilograms"] = _as_unit("lb", ("kg", "t"))


@_mistake("kilograms-as-pounds")
def _kilograms_as_pounds(row: Row, shop: Shop, tables: Tables, draw: random.Random) -> float | None:
    if row.unit != "lb":
        return None
    return float(f"{_true_kg(row):.3g}")


MISTAKES["short-tons-as-tonnes"] = _as_unit("short ton", ("t",))
MISTAKES["tonnes-as-short-tons"] = _as_unit("t", ("short ton",))
MISTAKES["force-unit-confused"] = lambda row, shop, tables, draw: (
    float(f"{_true_kg(row) / KG['kN']:.3g}")
    if row.unit == "t"
    else float(f"{_true_kg(row) / 1000:.3g}")
    if row.unit == "kN"
    else None
)


@_mistake("decimal-point-shifted")
def _decimal(row: Row, shop: Shop, tables: Tables, draw: random.Random) -> float | None:
    return float(f"{row.written * draw.choice([10, 10, 0.1, 0.1, 100, 0.01, 1000, 0.001]):.8g}")


def _proof_ratio(row: Row) -> float:
    if row.grade == 43:
        return 1.5
    return 2.5 if row.scheme == "european" and row.grade != 40 else 2.0


@_mistake("breaking-force-as-wll")
def _breaking(row: Row, shop: Shop, tables: Tables, draw: random.Random) -> float | None:
    if row.kind == "sling" or row.cradle == "no":
        return None
    return _write(row, shop, _true_kg(row) * (3 if row.grade == 43 else 4))


@_mistake("proof-force-as-wll")
def _proof(row: Row, shop: Shop, tables: Tables, draw: random.Random) -> float | None:
    if row.kind == "sling" or row.cradle == "no":
        return None
    return _write(row, shop, _true_kg(row) * _proof_ratio(row))


@_mistake("other-grade")
def _grade(row: Row, shop: Shop, tables: Tables, draw: random.Random) -> float | None:
    return _cell(row, shop, tables.like(row, grade=lambda g: g != row.grade), draw)


@_mistake("neighbouring-size")
def _size(row: Row, shop: Shop, tables: Tables, draw: random.Random) -> float | None:
    ladder = tables.sizes(row)
    here = ladder.index(row.size_mm)
    near = [ladder[i] for i in (here - 1, here + 1) if 0 <= i < len(ladder)]
    return _cell(row, shop, tables.like(row, size_mm=lambda s: s in near), draw)


def _edited(row: Row, change: Callable[[str], str | None]) -> float | None:
    changed = change(plain(row.written))
    try:
        return float(changed) if changed is not None else None
    except ValueError:
        return None


@_mistake("digits-swapped")
def _swapped(row: Row, shop: Shop, tables: Tables, draw: random.Random) -> float | None:
    def change(text: str) -> str | None:
        at = [
            i
            for i in range(len(text) - 1)
            if text[i].isdigit() and text[i + 1].isdigit() and text[i] != text[i + 1]
        ]
        if not at:
            return None
        i = draw.choice(at)
        return text[:i] + text[i + 1] + text[i] + text[i + 2 :]

    return _edited(row, change)


@_mistake("digit-mistyped")
def _mistyped(row: Row, shop: Shop, tables: Tables, draw: random.Random) -> float | None:
    def change(text: str) -> str | None:
        at = [i for i, c in enumerate(text) if c.isdigit() and c != "0"]
        i = draw.choice(at)
        return text[:i] + draw.choice([d for d in "123456789" if d != text[i]]) + text[i + 1 :]

    return _edited(row, change)


@_mistake("digit-lost-or-added")
def _lost(row: Row, shop: Shop, tables: Tables, draw: random.Random) -> float | None:
    def change(text: str) -> str | None:
        at = [i for i, c in enumerate(text) if c.isdigit() and c != "0"]
        if len(at) < 2:
            return None
        i = draw.choice(at)
        return text[:i] + text[i + 1 :] if draw.random() < 0.5 else text[:i] + text[i] + text[i:]

    return _edited(row, change)


@_mistake("multi-leg-rating-as-single")
def _multi(row: Row, shop: Shop, tables: Tables, draw: random.Random) -> float | None:
    if row.cradle == "no" or (row.kind == "sling" and row.legs != 1):
        return None
    cells = tables.like(
        row,
        kind="sling",
        legs=lambda n: n is not None and n > 1,
        angle_to_deg=lambda a: True,
        cradle=None,
    )
    return _cell(row, shop, cells, draw)


@_mistake("single-leg-rating-as-multi-leg")
def _single(row: Row, shop: Shop, tables: Tables, draw: random.Random) -> float | None:
    if row.kind != "sling" or (row.legs or 1) < 2:
        return None
    return _cell(row, shop, tables.like(row, legs=1, angle_to_deg=lambda a: True), draw)


@_mistake("shortening-not-deducted")
def _not_deducted(row: Row, shop: Shop, tables: Tables, draw: random.Random) -> float | None:
    return _write(row, shop, _true_kg(row) / 0.8) if row.cradle == "no" else None


@_mistake("shortening-deducted-twice")
def _twice(row: Row, shop: Shop, tables: Tables, draw: random.Random) -> float | None:
    return _write(row, shop, _true_kg(row) * 0.8) if row.cradle == "no" else None


@_mistake("hitch-factor-included")
def _hitch(row: Row, shop: Shop, tables: Tables, draw: random.Random) -> float | None:
    single = row.kind == "chain" or (row.kind == "sling" and row.legs == 1)
    return _write(row, shop, _true_kg(row) * draw.choice([0.8, 0.8, 2.0])) if single else None


@_mistake("heat-factor-included")
def _heat(row: Row, shop: Shop, tables: Tables, draw: random.Random) -> float | None:
    # ASME B30.9 and EN 818-6 as restated: 90, 75, 85 and 70 percent
    return (
        _write(row, shop, _true_kg(row) * draw.choice([0.9, 0.75, 0.85, 0.7]))
        if row.grade in (80, 100)
        else None
    )


@_mistake("pair-rating-as-single")
def _pair(row: Row, shop: Shop, tables: Tables, draw: random.Random) -> float | None:
    return _write(row, shop, _true_kg(row) * 2) if row.kind in ("hook", "grab-hook") else None


@_mistake("other-scheme")
def _scheme(row: Row, shop: Shop, tables: Tables, draw: random.Random) -> float | None:
    other = "us-chain" if row.scheme == "european" else "european"
    cells = [
        c
        for c in tables.index.get((row.kind, other), [])
        if (c["grade"], c["size_mm"], c["cradle"], c["legs"])
        == (row.grade, row.size_mm, row.cradle, row.legs)
        and (row.kind != "sling" or row.legs == 1 or c["angle_to_deg"] == row.angle)
        and c["unit"] == ("lb" if other == "us-chain" else "kg")
    ]
    return _cell(row, shop, cells, draw)


@_mistake("rounded")
def _rounded(row: Row, shop: Shop, tables: Tables, draw: random.Random) -> float | None:
    for figures in (1, 2):
        value = float(f"{row.written:.{figures}g}")
        # coarser than this it is no longer called rounding
        if value != row.written and 0.02 < abs(value / row.written - 1) < 0.12:
            return value
    return None


@_mistake("every-leg-counted-in-full")
def _every_leg(row: Row, shop: Shop, tables: Tables, draw: random.Random) -> float | None:
    legs = row.legs or 1
    if row.kind != "sling" or legs < 2:
        return None
    if legs == 4 and draw.random() < 0.3:  # the angle is seen to, the fourth leg is not
        return _write(row, shop, _true_kg(row) * 4 / 3)
    single = _single(row, shop, tables, draw)
    return None if single is None else _write(row, shop, single * KG[row.unit] * legs)


@_mistake("shortening-deducted-without-need")
def _not_due(row: Row, shop: Shop, tables: Tables, draw: random.Random) -> float | None:
    return _write(row, shop, _true_kg(row) * 0.8) if row.cradle == "yes" else None


def outcome(cause: str, row: Row, shop: Shop, tables: Tables, draw: random.Random) -> float | None:
    """The number that a mistake leaves in a row, or None when it leaves the rating as it is."""
    value = MISTAKES[cause](row, shop, tables, draw)
    if value is None or value <= 0:
        return None
    return value if abs(value / row.written - 1) > 0.02 else None
