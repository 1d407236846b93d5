"""Invented shops: each writes the published ratings in its own way.

Every clean row is a published rating written as such a shop would write it; nothing here uses
the code that reads or judges lists.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, replace

import polars as pl

__all__ = ["SHOPS", "Row", "Shop", "clean_rows", "frame", "plain"]

LB, TON, G = 0.45359237, 907.18474, 9.80665e-3
KG = {"kg": 1.0, "t": 1000.0, "lb": LB, "short ton": TON, "kN": 1 / G}


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One item: what it is, its true rating in [kg] and what the shop writes [`unit`]."""

    kind: str
    grade: int
    size_mm: float
    size_in: str
    scheme: str
    cradle: str | None
    legs: int | None
    angle: float | None
    value: float  # the published number
    published_unit: str
    written: float
    unit: str
    breaking_kn: float | None = None
    supplier: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """A shop's habits."""

    name: str
    schemes: tuple[str, ...]
    kinds: tuple[str, ...]
    unit: str
    figures: int | None  # figures kept when it converts; None: the published number as it is
    size: Callable[[Row], str]
    grade: Callable[[Row], str]
    number: Callable[[float], str]
    unit_in: str = "heading"  # heading, column, cell or description
    breaking: bool = False


def plain(value: float) -> str:
    """Digits without exponent or trailing zeros."""
    return f"{value:.6f}".rstrip("0").rstrip(".")


def _comma_thousands(value: float) -> str:
    return f"{value:,.4f}".rstrip("0").rstrip(".")


def _german(value: float) -> str:
    return _comma_thousands(value).replace(",", "_").replace(".", ",").replace("_", ".")


def _inch(row: Row) -> str:
    return f'{row.size_in}"' if row.size_in else f"{plain(row.size_mm)} mm"


def _metric(row: Row) -> str:
    return f"{plain(row.size_mm)} mm"


def _us_grade(row: Row) -> str:
    return f"G{row.grade}"


def _european_grade(row: Row) -> str:
    return f"Grade {row.grade // 10}" if row.scheme == "european" else f"Grade {row.grade}"


ALL = ("chain", "hook", "grab-hook", "sling")
US = ("us-chain",)
EU = ("european",)

SHOPS: tuple[Shop, ...] = (
    Shop(
        name="Alder Rigging",
        schemes=US,
        kinds=ALL,
        unit="lb",
        figures=None,
        size=_inch,
        grade=_us_grade,
        number=_comma_thousands,
        breaking=True,
    ),
    Shop(
        name="Birk Hebetechnik",
        schemes=EU,
        kinds=ALL,
        unit="kg",
        figures=None,
        size=_metric,
        grade=lambda r: f"GK{r.grade // 10}",
        number=_german,
    ),
    Shop(
        name="Cedar Lifting",
        schemes=EU,
        kinds=ALL,
        unit="t",
        figures=None,
        size=_metric,
        grade=_european_grade,
        number=plain,
        breaking=True,
    ),
    Shop(
        name="Dogwood Supply",
        schemes=US,
        kinds=ALL,
        unit="lb",
        figures=None,
        size=_inch,
        grade=_us_grade,
        number=plain,
        unit_in="column",
    ),
    Shop(
        name="Elm Chain",
        schemes=US,
        kinds=("chain", "hook", "grab-hook"),
        unit="kg",
        figures=3,
        size=_inch,
        grade=_us_grade,
        number=plain,
    ),
    Shop(
        name="Fir and Sons",
        schemes=EU,
        kinds=("chain", "hook", "grab-hook"),
        unit="lb",
        figures=3,
        size=_metric,
        grade=_european_grade,
        number=_comma_thousands,
    ),
    Shop(
        name="Gorse Marine",
        schemes=US,
        kinds=("chain", "hook"),
        unit="short ton",
        figures=4,
        size=_inch,
        grade=_us_grade,
        number=plain,
    ),
    Shop(
        name="Hazel Offshore",
        schemes=EU,
        kinds=("chain", "hook"),
        unit="kN",
        figures=3,
        size=_metric,
        grade=_european_grade,
        number=plain,
    ),
)

_WORDS = {
    "chain": ("Lifting chain", "Alloy chain, drum", "Chain, short link"),
    "hook": (
        "Eye sling hook with latch",
        "Clevis sling hook with latch",
        "Eye self-locking hook",
        "Clevis self-locking hook",
    ),
    ("grab-hook", "yes"): ("Clevis grab hook with cradle", "Eye grab hook with cradle"),
    ("grab-hook", "no"): ("Clevis grab hook without cradle", "Eye grab hook without cradle"),
}
_LEGS = {1: "1-leg", 2: "2-leg", 3: "3-leg", 4: "4-leg"}


def clean_rows(shop: Shop, reference: pl.DataFrame, wanted: int, seed: int) -> list[Row]:
    """Rows of a shop's clean list, drawn from the published (not recalled) ratings."""
    draw = random.Random(f"{shop.name}/{seed}")
    own = "lb" if shop.schemes == US else "kg"
    pool = reference.filter(
        pl.col("scheme").is_in(shop.schemes)
        & pl.col("kind").is_in(shop.kinds)
        & (pl.col("known_by") != "recalled")
        & (pl.col("unit") == own)
        & ~pl.col("deduction").fill_null("").str.contains("25")
        & ((pl.col("kind") != "sling") | pl.col("legs").is_not_null())  # no endless slings
    )
    names = _inch_names(reference)
    rows = []
    records = pool.to_dicts()
    by_kind = {kind: [r for r in records if r["kind"] == kind] for kind in shop.kinds}
    by_kind = {kind: each for kind, each in by_kind.items() if each}
    suppliers = ("Fenwick Forge", "Tarn Chainworks", "Orrin Tool")
    for _ in range(wanted):
        record = draw.choice(by_kind[draw.choice(list(by_kind))])
        written = record["value"] * KG[record["unit"]] / KG[shop.unit]
        if shop.figures and shop.unit != record["unit"]:
            written = float(f"{written:.{shop.figures}g}")
        row = Row(
            kind=record["kind"],
            grade=record["grade"],
            size_mm=record["size_mm"],
            size_in=names.get((record["grade"], record["size_mm"]), "")
            if shop.schemes == US
            else "",
            scheme=record["scheme"],
            cradle=record["cradle"],
            legs=record["legs"],
            angle=record["angle_to_deg"] if record["kind"] == "sling" else None,
            value=record["value"],
            published_unit=record["unit"],
            written=written,
            unit=shop.unit,
            supplier=draw.choice(suppliers),
        )
        if shop.breaking and row.kind == "chain":
            factor = 3 if row.grade == 43 else 4
            row = replace(
                row, breaking_kn=float(f"{row.value * KG[row.published_unit] * G * factor:.4g}")
            )
        rows.append(row)
    return rows


def _inch_names(reference: pl.DataFrame) -> dict[tuple[int, float], str]:
    alloy = {
        5.5: "7/32",
        7.0: "9/32",
        8.0: "5/16",
        10.0: "3/8",
        13.0: "1/2",
        16.0: "5/8",
        20.0: "3/4",
        22.0: "7/8",
        26.0: "1",
        32.0: "1-1/4",
    }
    common = alloy | {4.0: "1/8", 5.5: "3/16", 7.0: "1/4", 11.0: "7/16"}
    pairs = reference.select("grade", "size_mm").unique().iter_rows()
    return {(g, s): (alloy if g >= 80 else common).get(s, "") for g, s in pairs}


def frame(shop: Shop, rows: list[Row], seed: int = 0) -> pl.DataFrame:
    """The list as the shop hands it over: text under the shop's headings."""
    draw = random.Random(f"{shop.name}/words/{seed}")
    wll = {"heading": f"WLL ({shop.unit})", "column": "WLL", "cell": "WLL", "description": "WLL"}[
        shop.unit_in
    ]
    table: dict[str, list[str]] = {"Part": [], "Description": [], "Size": [], "Grade": [], wll: []}
    if shop.unit_in == "column":
        table["Unit"] = []
    if shop.breaking:
        table["Breaking force (kN)"] = []
    table["Supplier"] = []
    for number, row in enumerate(rows, 1):
        table["Part"].append(f"{shop.name[:2].upper()}{number:05d}")
        table["Description"].append(_description(row, draw))
        table["Size"].append(shop.size(row))
        table["Grade"].append(shop.grade(row))
        table[wll].append(shop.number(row.written))
        if shop.unit_in == "column":
            table["Unit"].append(row.unit)
        if shop.breaking:
            table["Breaking force (kN)"].append(plain(row.breaking_kn) if row.breaking_kn else "")
        table["Supplier"].append(row.supplier)
    return pl.DataFrame(table)


def _description(row: Row, draw: random.Random) -> str:
    if row.kind == "sling":
        legs = _LEGS[row.legs or 1]
        angle = "" if row.legs == 1 else f", to {plain(row.angle or 0)} deg to the vertical"
        return f"{legs} chain sling with self-locking hooks{angle}"
    key = (row.kind, row.cradle) if row.kind == "grab-hook" else row.kind
    return draw.choice(_WORDS[key])  # type: ignore[index]
