"""What the pictures show, as data: the compared items, their groups, lines and usual ratios.

The points travel as a table of distinct cases and, for each item, the number of its case and
its row: a hundred thousand items take less than a megabyte.
"""

from __future__ import annotations

import base64
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import polars as pl

from tallyhook.explaining.explain import RATING_RULES
from tallyhook.messages import say, to_say
from tallyhook.model.finding import SEVERITIES
from tallyhook.packages.package import built_in_packages
from tallyhook.reporting.titles import cause_title, severity_title
from tallyhook.units import factor
from tallyhook.wording import number_text, size_text

if TYPE_CHECKING:
    from tallyhook.reporting.report import Report

__all__ = [
    "GROUPS",
    "Line",
    "compared_items",
    "counted_near",
    "group_titles",
    "line_table",
    "lines_of",
    "packed_points",
    "place_of",
    "sheet_starts",
    "short_sheet",
    "unit_of",
    "usual_ratios",
]

_TITLES = {
    "agree": to_say("agrees"),
    "several-legs": to_say("agrees: sling of several legs, above the line by its leg factor"),
    "no-cradle": to_say("agrees: grab hook without cradle, below the line by its deduction"),
    "accepted": to_say("contradicted, with no open finding"),
}
GROUPS = (*_TITLES, *reversed(SEVERITIES))
"""The groups of points, in the order they are drawn: the worst lies on top."""

_DASHES = ("solid", "dashed", "dotted", "dotdash")
_LONGEST_SHEET = 14  # letters of a sheet's name that a picture has room for
_SAME_LINE = 0.03  # two schemes closer than this all along are one line to the eye
_MOST_WORDS = 5_000  # points that carry the row's own words in the page
_NEAR = 0.015  # share of a usual ratio within which an item is counted at it


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """The ratings of one grade in one scheme, by size [mm] and load in the unit of the picture."""

    scheme: str
    grade: int
    dash: str
    sizes_mm: tuple[float, ...]
    loads: tuple[float, ...]


def group_titles() -> dict[str, str]:
    """Say what the points of each group are."""
    marked = {s: say("contradicted: {severity}", severity=severity_title(s)) for s in SEVERITIES}
    return {group: say(title) for group, title in _TITLES.items()} | marked


def usual_ratios() -> list[tuple[float, str]]:
    """Give the ratios of a listed load to the right one that the usual mistakes leave, with names.

    Unit factors come from the unit registry; design factors and proof ratios from
    ``chain.grades``; deductions from ``grab-hooks.deductions``.
    """
    packages = built_in_packages()
    grades, deductions = packages["chain"]["grades"], packages["grab-hooks"]["deductions"]
    force, point = say("force unit"), say("decimal point")
    found: list[tuple[float, str]] = [
        (factor("kg", "lb"), say("pounds as kg")),
        (factor("lb", "kg"), say("kg as pounds")),
        (factor("t", "short ton"), say("short tons as t")),
        (factor("short ton", "t"), say("t as short tons")),
        (factor("kg", "N"), force),
        (1 / factor("kg", "N"), force),
        (10.0, point),
        (0.1, point),
        (2.0, say("pair")),
    ]
    breaking = say("breaking force")
    found += [(f, breaking) for f in grades["design_factor"].drop_nulls().unique()]
    known = grades.filter(pl.col("proof_to_wll_known_by") != "recalled")["proof_to_wll"]
    proof = say("proof force")
    found += [(f, proof) for f in known.drop_nulls().unique()]
    for percent in deductions.filter(pl.col("deduction_percent") > 0)["deduction_percent"].unique():
        kept = 1 - percent / 100
        found += [(kept, say("no cradle")), (1 / kept, say("cradle not deducted"))]
    merged: dict[float, list[str]] = {}
    for ratio, name in found:
        names = merged.setdefault(round(ratio, 4), [])
        if name not in names:
            names.append(name)
    return [(ratio, ", ".join(names)) for ratio, names in sorted(merged.items())]


def compared_items(report: Report) -> pl.DataFrame:
    """Every compared item with its group of points, its ratio, and the finding it is marked for."""
    found = report.stock_findings.with_row_index("finding").with_columns(
        pl.when(pl.col("rows").list.len().fill_null(0) > 0)
        .then("rows")
        .otherwise(pl.concat_list("row"))
        .alias("at"),
        pl.col("severity").replace_strict(
            {s: i for i, s in enumerate(SEVERITIES)}, return_dtype=pl.Int8
        ),
        pl.col("rule").is_in(RATING_RULES).alias("rates"),
    )
    marks = (
        # the ratio of a collected finding is a median, and that of another rule no load's
        found.with_columns(
            pl.when(pl.col("rates") & pl.col("row").is_not_null()).then("ratio").alias("own_ratio")
        )
        .select(
            "sheet",
            "at",
            pl.col("column").alias("wll_column"),
            pl.col("severity").alias("worst"),
            "rates",
            "own_ratio",
            "cause",
            "finding",
        )
        .explode("at")
        .rename({"at": "row"})
        .sort("worst", ~pl.col("rates"), maintain_order=True)
        .unique(["sheet", "row", "wll_column"], keep="first", maintain_order=True)
    )
    items = report.matched.filter(pl.col("outcome") != "not compared")
    joined = items.join(
        marks,
        on=["sheet", "row", "wll_column"],
        how="left",
        nulls_equal=True,
        maintain_order="left",
    )
    severity = pl.col("worst").replace_strict(
        dict(enumerate(SEVERITIES)), return_dtype=pl.String, default="accepted"
    )
    return joined.with_columns(
        pl.when(pl.col("outcome") == "contradicted")
        .then(severity)
        .when((pl.col("kind") == "sling") & (pl.col("legs") > 1))
        .then(pl.lit("several-legs"))
        .when((pl.col("kind") == "grab-hook") & (pl.col("cradle") == "no"))
        .then(pl.lit("no-cradle"))
        .otherwise(pl.lit("agree"))
        .alias("group"),
        pl.coalesce("own_ratio", "off_by").alias("ratio"),
    )


def sheet_starts(report: Report) -> dict[str | None, int]:
    """The sheets in their order, and how far below the first each is drawn [rows]."""
    last = report.matched.group_by("sheet", maintain_order=True).agg(pl.col("row").max())
    starts: dict[str | None, int] = {}
    below = 0
    for sheet, row in last.iter_rows():
        starts[sheet] = below
        below += row
    return starts


def place_of(sheets: Mapping[str | None, int]) -> pl.Expr:
    """The place of a row down the list: one sheet stands below the other."""
    if len(sheets) < 2:
        return pl.col("row")
    start = pl.col("sheet").replace_strict(list(sheets), list(sheets.values()), default=0)
    return pl.col("row") + start


def short_sheet(name: str | None) -> str:
    text = name or ""
    return text if len(text) <= _LONGEST_SHEET else f"{text[: _LONGEST_SHEET - 1]}…"


def unit_of(compared: pl.DataFrame) -> str:
    """The unit that most of the list thinks in: pounds or kilograms."""
    pounds = compared["wll_unit"].is_in(["lb", "short ton", "lbf"]).sum()
    return "lb" if 2 * pounds > compared.height else "kg"


def lines_of(
    ratings: pl.DataFrame, compared: pl.DataFrame, unit: str
) -> tuple[list[Line], list[str]]:
    """The chain ratings of the schemes that the list was held against, a line each grade.

    A scheme whose line lies on another's all along is not drawn twice; its name is returned.
    """
    schemes = [
        s
        for (s,) in compared["nearest_scheme"]
        .drop_nulls()
        .value_counts(sort=True)
        .sort("count", "nearest_scheme", descending=[True, False])
        .select("nearest_scheme")
        .iter_rows()
    ] or ["us-chain", "european"]
    chain = (
        ratings.filter((pl.col("kind") == "chain") & (pl.col("known_by") != "recalled"))
        .with_columns((pl.col("value_kg") * factor("kg", unit)).alias("load"))
        .sort("scheme", "grade", "size_mm", pl.col("unit") != unit, maintain_order=True)
        .unique(["scheme", "grade", "size_mm"], keep="first", maintain_order=True)
    )
    drawn: list[Line] = []
    alike: list[str] = []
    for scheme in schemes:
        dash = _DASHES[len({line.scheme for line in drawn}) % len(_DASHES)]
        made = [
            Line(
                scheme=scheme,
                grade=grade,
                dash=dash,
                sizes_mm=tuple(rows["size_mm"]),
                loads=tuple(rows["load"]),
            )
            for (grade,), rows in chain.filter(pl.col("scheme") == scheme).group_by(
                "grade", maintain_order=True
            )
        ]
        fresh = [m for m in made if not any(_lies_on(m, d) for d in drawn)]
        drawn += fresh
        if made and not fresh:
            alike.append(scheme)
    return drawn, alike


def _lies_on(line: Line, other: Line) -> bool:
    if line.grade != other.grade:
        return False
    known = dict(zip(other.sizes_mm, other.loads, strict=True))
    return all(
        size in known and abs(load / known[size] - 1) < _SAME_LINE
        for size, load in zip(line.sizes_mm, line.loads, strict=True)
    )


def packed_points(compared: pl.DataFrame, *, several: bool) -> dict[str, Any]:
    """The points of each group: distinct cases, and for each item its case and its row."""
    points: dict[str, Any] = {}
    for group in GROUPS:
        items = compared.filter(pl.col("group") == group)
        keys = ["size_mm", "size_in", "load", "ratio", "wll_text", "kind", "grade", "legs", "cause"]
        if several:
            keys.append("sheet")
        cases = items.select(keys).unique(maintain_order=True).with_row_index("spot")
        number = items.join(cases, on=keys, how="left", nulls_equal=True, maintain_order="left")[
            "spot"
        ]
        marked = group in SEVERITIES
        unmarked = say("contradicted, no open finding") if group == "accepted" else say("agrees")
        points[group] = {
            "size": cases["size_mm"].to_list(),
            "load": [_short(v) for v in cases["load"]],
            "ratio": [_short(v) for v in cases["ratio"]],
            "size_text": [
                size_text(*pair) for pair in cases.select("size_mm", "size_in").iter_rows()
            ],
            "load_text": cases["wll_text"].fill_null("").to_list(),
            "what": [_what(case) for case in cases.iter_rows(named=True)],
            "said": [cause_title(c) if marked else unmarked for c in cases["cause"]],
            "case": _packed(number, pl.UInt16 if cases.height < 2**16 else pl.UInt32),
            "bytes": 2 if cases.height < 2**16 else 4,
            "row": _packed(items["row"], pl.Int32),
            "at": _packed(items["at"], pl.Int32) if several else None,
            "sheet": [short_sheet(name) for name in cases["sheet"]] if several else None,
            "words": _words(items) if marked and items.height <= _MOST_WORDS else None,
            "finding": items["finding"].to_list() if marked else None,
        }
    return points


def _what(case: dict[str, Any]) -> str:
    parts = {
        "size": size_text(case["size_mm"], case["size_in"]),
        **{name: case[name] for name in ("kind", "grade", "legs")},
    }
    if case["legs"] and case["legs"] > 1:
        return say("{size} {kind}, grade {grade}, {legs} legs", **parts)
    return say("{size} {kind}, grade {grade}", **parts)


def _words(items: pl.DataFrame) -> list[str]:
    return [(text or "")[:80] for text in items["item"]]


def _short(value: float | None) -> float | None:
    return float(f"{value:.6g}") if value and value > 0 else None


def _packed(numbers: pl.Series, dtype: type[pl.DataType]) -> str:
    array = numbers.cast(dtype).to_numpy()
    return base64.b64encode(array.astype(array.dtype.newbyteorder("<")).tobytes()).decode("ascii")


def counted_near(
    compared: pl.DataFrame, ratios: list[tuple[float, str]]
) -> tuple[tuple[float, str, int], ...]:
    """Count the contradicted items at each usual ratio, for readers who do not see the picture."""
    wrong = compared.filter(pl.col("outcome") == "contradicted")["ratio"].drop_nulls()
    return tuple(
        (ratio, name, int(((wrong / ratio - 1).abs() < _NEAR).sum())) for ratio, name in ratios
    )


def line_table(lines: tuple[Line, ...]) -> tuple[list[str], list[list[str]]]:
    """The lines as a table: sizes down, a column for each line."""
    sizes = sorted({s for line in lines for s in line.sizes_mm})
    head = [f"{line.grade} {line.scheme}" for line in lines]
    known = [dict(zip(line.sizes_mm, line.loads, strict=True)) for line in lines]
    body = [
        [number_text(size), *(number_text(round(k[size])) if size in k else "" for k in known)]
        for size in sizes
    ]
    return head, body
