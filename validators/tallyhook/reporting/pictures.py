"""The two pictures of the page: ratings against size, and how far each item is off.

The points travel as a table of distinct cases and, for each item, the number of its case and
its row: a hundred thousand items take less than a megabyte. The page's script lays them out in
the data sources that are made here.
"""

from __future__ import annotations

import base64
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import polars as pl

from tallyhook.explaining.explain import RATING_RULES
from tallyhook.model.finding import SEVERITIES
from tallyhook.packages.package import built_in_packages
from tallyhook.packages.reference import reference_ratings
from tallyhook.reporting.parts import cause_title
from tallyhook.units import factor
from tallyhook.wording import number_text, size_text

if TYPE_CHECKING:
    from tallyhook.reporting.report import Report

__all__ = ["GROUPS", "MARKERS", "Line", "Pictures", "draw", "line_table", "usual_ratios"]

MARKERS = {
    "agree": "circle",
    "several-legs": "cross",
    "no-cradle": "y",
    "accepted": "hex",
    "note": "square",
    "warning": "inverted_triangle",
    "error": "triangle",
    "danger": "diamond",
}
"""The shape of every group of points, in the order they are drawn: the worst lies on top."""

GROUPS = tuple(MARKERS)

_DASHES = ("solid", "dashed", "dotted", "dotdash")
# the library escapes what it puts in place of the names
_TOOLTIP = (
    '<div style="max-width: 22rem; overflow-wrap: anywhere; color: #1b1f24">'
    "<strong>WHERE</strong> @what<br>"
    "listed @load_text, @ratio{0.000} times the table<br>@told</div>"
)
_LONGEST_SHEET = 14  # letters of a sheet's name that a picture has room for
_TOLD = {"accepted": "contradicted, no open finding"}
_SAME_LINE = 0.03  # two schemes closer than this all along are one line to the eye
_MOST_WORDS = 5_000  # points that carry the row's own words in the page
_NEAR = 0.015  # share of a usual ratio within which an item is counted at it
_MANY = 2_000  # points beyond which each is drawn smaller and paler


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """The ratings of one grade in one scheme, by size [mm] and load in the unit of the picture."""

    scheme: str
    grade: int
    dash: str
    sizes_mm: tuple[float, ...]
    loads: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pictures:
    """The Bokeh documents and the points to fill in, as JSON text, and what can be said of them.

    `compared` counts the items in the pictures; `undrawn` those of them that have no place on a
    logarithmic axis, `left_out` the agreeing items that a very long list leaves out. `near` counts
    the items at each usual ratio.
    """

    documents: str
    items: str
    points: str
    compared: int
    undrawn: int
    left_out: int
    unit: str
    lines: tuple[Line, ...]
    alike: tuple[str, ...]
    near: tuple[tuple[float, str, int], ...]
    groups: Mapping[str, int]


def usual_ratios() -> list[tuple[float, str]]:
    """Give the ratios of a listed load to the right one that the usual mistakes leave, with names.

    Unit factors come from the unit registry; design factors and proof ratios from
    ``chain.grades``; deductions from ``grab-hooks.deductions``.
    """
    packages = built_in_packages()
    grades, deductions = packages["chain"]["grades"], packages["grab-hooks"]["deductions"]
    found: list[tuple[float, str]] = [
        (factor("kg", "lb"), "pounds as kg"),
        (factor("lb", "kg"), "kg as pounds"),
        (factor("t", "short ton"), "short tons as t"),
        (factor("short ton", "t"), "t as short tons"),
        (factor("kg", "N"), "force unit"),
        (1 / factor("kg", "N"), "force unit"),
        (10.0, "decimal point"),
        (0.1, "decimal point"),
        (2.0, "pair"),
    ]
    found += [(f, "breaking force") for f in grades["design_factor"].drop_nulls().unique()]
    proof = grades.filter(pl.col("proof_to_wll_known_by") != "recalled")["proof_to_wll"]
    found += [(f, "proof force") for f in proof.drop_nulls().unique()]
    for percent in deductions.filter(pl.col("deduction_percent") > 0)["deduction_percent"].unique():
        kept = 1 - percent / 100
        found += [(kept, "no cradle"), (1 / kept, "cradle not deducted")]
    merged: dict[float, list[str]] = {}
    for ratio, name in found:
        names = merged.setdefault(round(ratio, 4), [])
        if name not in names:
            names.append(name)
    return [(ratio, ", ".join(names)) for ratio, names in sorted(merged.items())]


def draw(report: Report, ratings: pl.DataFrame | None = None) -> Pictures:
    """Draw both pictures.

    Parameters
    ----------
    report : Report
        The checked list.
    ratings : frame, optional
        The ratings that the list was held against (`tallyhook.packages.reference.REFERENCE_SCHEMA`); the
        built-in ones otherwise.
    """
    from bokeh.document import Document
    from bokeh.embed.util import standalone_docs_json_and_render_items

    ratings = reference_ratings(built_in_packages()) if ratings is None else ratings
    compared = _compared(report)
    unit = _unit_of(compared)
    sheets = _sheets(report)
    compared = compared.with_columns(
        (pl.col("wll_kg") * factor("kg", unit)).alias("load"), _place(sheets).alias("at")
    )
    lines, alike = _lines(ratings, compared, unit)
    ratios = usual_ratios()
    figures = [
        _ratings_figure(compared, lines, unit, several=len(sheets) > 1),
        _ratio_figure(compared, ratios, sheets),
    ]
    document = Document()
    for figure in figures:
        document.add_root(figure)
    documents, items = standalone_docs_json_and_render_items(figures)
    sizes = compared["group"].value_counts()
    return Pictures(
        documents=json.dumps(documents),
        items=json.dumps([item.to_json() for item in items]),
        points=json.dumps(_points(compared, several=len(sheets) > 1), allow_nan=False),
        compared=compared.height,
        undrawn=compared.filter(~(pl.col("load") > 0)).height,
        left_out=report.counts["agree"] + report.counts["contradicted"] - compared.height,
        unit=unit,
        lines=tuple(lines),
        alike=tuple(alike),
        near=_near(compared, ratios),
        groups={g: n for g in GROUPS for g2, n in sizes.iter_rows() if g2 == g},
    )


def _compared(report: Report) -> pl.DataFrame:
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
            pl.when(pl.col("rates") & pl.col("row").is_not_null()).then("ratio").alias("told_ratio")
        )
        .select(
            "sheet",
            "at",
            pl.col("column").alias("wll_column"),
            pl.col("severity").alias("worst"),
            "rates",
            "told_ratio",
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
        pl.coalesce("told_ratio", "off_by").alias("ratio"),
    )


def _sheets(report: Report) -> dict[str | None, int]:
    """The sheets in their order, and how far below the first each is drawn [rows]."""
    last = report.matched.group_by("sheet", maintain_order=True).agg(pl.col("row").max())
    starts: dict[str | None, int] = {}
    below = 0
    for sheet, row in last.iter_rows():
        starts[sheet] = below
        below += row
    return starts


def _place(sheets: Mapping[str | None, int]) -> pl.Expr:
    """The place of a row down the list: one sheet stands below the other."""
    if len(sheets) < 2:
        return pl.col("row")
    start = pl.col("sheet").replace_strict(list(sheets), list(sheets.values()), default=0)
    return pl.col("row") + start


def _short_sheet(name: str | None) -> str:
    text = name or ""
    return text if len(text) <= _LONGEST_SHEET else f"{text[: _LONGEST_SHEET - 1]}…"


def _unit_of(compared: pl.DataFrame) -> str:
    """The unit that most of the list thinks in: pounds or kilograms."""
    pounds = compared["wll_unit"].is_in(["lb", "short ton", "lbf"]).sum()
    return "lb" if 2 * pounds > compared.height else "kg"


def _lines(
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


def _ratings_figure(compared: pl.DataFrame, lines: list[Line], unit: str, *, several: bool) -> Any:
    from bokeh.models import (
        ColumnDataSource,
        FixedTicker,
        NoOverlap,
        NumeralTickFormatter,
    )

    sizes = [s for line in lines for s in line.sizes_mm]
    sizes += compared["size_mm"].drop_nulls().to_list()
    loads = [v for line in lines for v in line.loads]
    loads += compared.filter(pl.col("load") > 0)["load"].to_list()
    fig = _figure(
        "ratings",
        520,
        x_range=(0.93 * min(sizes, default=4), 1.3 * max(sizes, default=45)),
        y_range=(0.8 * min(loads, default=100), 1.35 * max(loads, default=60_000)),
        x_axis_label="nominal size (mm)",
        y_axis_label=f"working load limit ({unit})",
    )
    for line in lines:
        fig.line(
            list(line.sizes_mm), list(line.loads), line_dash=line.dash, line_width=1.3,
            name=f"line {line.scheme} {line.grade}", tags=["line"], line_color="#555555",
        )  # fmt: skip
    main = lines[0].scheme if lines else ""
    names = [f"{n.grade}" if n.scheme == main else f"{n.grade} {n.scheme}" for n in lines]
    ends = ColumnDataSource(
        {
            "x": [line.sizes_mm[-1] for line in lines],
            "y": [line.loads[-1] for line in lines],
            "name": names,
            "text": [f"grade {n}" for n in names],
            "dx": [0.0] * len(lines),
            "dy": [0.0] * len(lines),
        },
        name="line-ends",
    )
    _text(fig, ends, "x", "y", bold=True)
    _scatter(fig, "size", "load", many=compared.height > _MANY, several=several)
    labels = ColumnDataSource(_no_labels(), name="labels-ratings")
    _text(fig, labels, "x", "y")
    fig.xaxis.ticker = FixedTicker(ticks=sorted(set(sizes)))
    fig.xaxis.major_label_policy = NoOverlap(min_distance=8)
    fig.xaxis.formatter = NumeralTickFormatter(format="0.[0]")
    fig.yaxis.ticker = FixedTicker(ticks=[m * 10**p for p in range(-3, 9) for m in (1, 2, 5)])
    fig.yaxis.major_label_policy = NoOverlap(min_distance=8)
    fig.yaxis.formatter = NumeralTickFormatter(format="0,0.[0]")
    return fig


def _ratio_figure(
    compared: pl.DataFrame, ratios: list[tuple[float, str]], sheets: Mapping[str | None, int]
) -> Any:
    from bokeh.models import ColumnDataSource, FixedTicker, NoOverlap, NumeralTickFormatter
    from bokeh.models.annotations import Span

    seen = compared.filter(pl.col("ratio") > 0)["ratio"]
    low = min([0.4, *([float(seen.min())] if seen.len() else [])])  # type: ignore[arg-type]
    high = max([4.4, *([float(seen.max())] if seen.len() else [])])  # type: ignore[arg-type]
    rows = compared["at"]
    first, last = (int(rows.min()), int(rows.max())) if rows.len() else (1, 2)  # type: ignore[arg-type]
    span = max(last - first, 1)
    fig = _figure(
        "ratios",
        440,
        x_range=(low * 0.85, high * 1.15),
        # the first row is on top, as in the list; above it there is room for the names
        y_range=(last + 0.05 * span, first - 0.62 * span),
        x_axis_label="listed load / rating in the table",
        y_axis_label="row of the list" if len(sheets) < 2 else "sheet and row",
        y_axis_type="linear",
    )
    shown = [(r, name) for r, name in ratios if low * 0.85 <= r <= high * 1.15]
    for ratio, name in [*shown, (1.0, "agrees")]:
        fig.add_layout(
            Span(
                location=ratio,
                dimension="height",
                line_width=1,
                tags=["line"],
                name=name,
                line_dash="solid" if ratio == 1.0 else "dotted",
                line_color="#555555",
            )
        )
    _scatter(fig, "ratio", "at", many=compared.height > _MANY, several=len(sheets) > 1)
    names = sorted([*shown, (1.0, "agrees")])
    rank = [ratio for ratio, _, _ in sorted(_near(compared, ratios), key=lambda n: -n[2])]
    named = ColumnDataSource(
        {
            "x": [ratio for ratio, _ in names],
            "y": [first - 0.6 * span] * len(names),
            "name": [f"{ratio:.4g} {name}" for ratio, name in names],
            "text": [""] * len(names),
            "rank": [-1 if ratio == 1 else rank.index(ratio) for ratio, _ in names],
            "dx": [0.0] * len(names),
            "dy": [0.0] * len(names),
        },
        name="ratio-names",
    )
    fig.text(
        "x", "y", "text", source=named, angle=-1.5707963267948966, x_offset="dx", y_offset="dy",
        text_font_size="12px", text_baseline="middle", text_align="left",
        text_color="#222222", background_fill_color="#ffffff", background_fill_alpha=0.8,
        tags=["text"],
    )  # fmt: skip
    labels = ColumnDataSource(_no_labels(), name="labels-ratios")
    _text(fig, labels, "x", "y")
    fig.xaxis.ticker = FixedTicker(
        ticks=[0.001, 0.01, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 1000]
    )
    fig.xaxis.formatter = NumeralTickFormatter(format="0,0.[000]")
    fig.xaxis.major_label_policy = NoOverlap(min_distance=8)
    fig.yaxis.formatter = NumeralTickFormatter(format="0")
    fig.ygrid.visible = False
    if len(sheets) > 1:  # a row number means nothing without its sheet
        tops = compared.group_by("sheet", maintain_order=True).agg(pl.col("at", "row").min())
        fig.yaxis.ticker = FixedTicker(ticks=tops["at"].to_list())
        fig.yaxis.major_label_overrides = {
            at: f"{_short_sheet(sheet)} {row}" for sheet, at, row in tops.iter_rows()
        }
        fig.yaxis.major_label_policy = NoOverlap(min_distance=2)
        return fig
    # no tick above the first row: there is none
    step = _step(span)
    ticks = [first, *(t for t in range(step, last + 1, step) if t > first + step / 3)]
    fig.yaxis.ticker = FixedTicker(ticks=ticks)
    return fig


def _step(span: int) -> int:
    wanted = max(span / 5, 1)
    power = 1
    while power * 10 <= wanted:
        power *= 10
    return next((m * power for m in (1, 2, 5, 10) if m * power >= wanted), 10 * power)


def _figure(name: str, height: int, *, y_axis_type: str = "log", **ranges: Any) -> Any:
    from bokeh.plotting import figure

    fig = figure(
        name=name, height=height, sizing_mode="stretch_width", x_axis_type="log",
        y_axis_type=y_axis_type, toolbar_location="above", active_drag=None, active_scroll=None,  # type: ignore[arg-type]
        tools="pan,box_zoom,wheel_zoom,zoom_in,zoom_out,reset,save", background_fill_color=None,
        border_fill_color=None, min_border_right=12, **ranges,
    )  # fmt: skip
    fig.toolbar.logo = None
    fig.axis.axis_label_text_font_style = "normal"
    fig.axis.axis_label_text_font_size = "14px"
    fig.axis.major_label_text_font_size = "13px"
    fig.axis.minor_tick_line_color = None
    return fig


def _scatter(fig: Any, x: str, y: str, *, many: bool, several: bool) -> None:
    from bokeh.models import ColumnDataSource, HoverTool, TapTool

    columns = (
        "size", "load", "ratio", "row", "at", "sheet", "size_text", "load_text", "what", "told",
        "finding",
    )  # fmt: skip
    where = "@sheet row @row{0}" if several else "row @row{0}"
    hovered: list[Any] = []
    tapped: list[Any] = []
    for group, marker in MARKERS.items():
        source = ColumnDataSource({c: [] for c in columns}, name=f"points {group}")
        marked = group in SEVERITIES
        filled = marker == "circle"
        alpha = 0.95 if marked else 0.35 if many else 0.6
        large = 9 if many else 13
        size = large if marked else large - 2 if group == "accepted" else 5 if many else 7
        renderer = fig.scatter(
            x, y, source=source, marker=marker, size=size,
            fill_color="#555555", line_color="#ffffff" if marked or filled else "#555555",
            line_width=0 if filled else 1, fill_alpha=alpha, line_alpha=alpha,
            nonselection_fill_alpha=alpha, nonselection_line_alpha=alpha,
            tags=["points", group], name=group,
        )  # fmt: skip
        hovered.append(renderer)
        if marked:
            tapped.append(renderer)
    fig.add_tools(
        HoverTool(
            renderers=hovered, attachment="horizontal", visible=False,
tooltips=_TOOLTIP.replace("WHERE", where),
        ),
        TapTool(renderers=tapped, visible=False),
    )  # fmt: skip


def _text(fig: Any, source: Any, x: str, y: str, *, bold: bool = False) -> None:
    fig.text(
        x, y, "text", source=source, x_offset="dx", y_offset="dy", text_font_size="13px",
        text_font_style="bold" if bold else "normal", text_baseline="middle", text_align="left",
        text_color="#222222", background_fill_color="#ffffff", background_fill_alpha=0.75,
        tags=["text"],
    )  # fmt: skip


def _no_labels() -> Any:
    return {"x": [], "y": [], "text": [], "dx": [], "dy": []}


def _points(compared: pl.DataFrame, *, several: bool) -> dict[str, Any]:
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
        points[group] = {
            "size": cases["size_mm"].to_list(),
            "load": [_short(v) for v in cases["load"]],
            "ratio": [_short(v) for v in cases["ratio"]],
            "size_text": [
                size_text(*pair) for pair in cases.select("size_mm", "size_in").iter_rows()
            ],
            "load_text": cases["wll_text"].fill_null("").to_list(),
            "what": [_what(case) for case in cases.iter_rows(named=True)],
            "told": [
                cause_title(c) if marked else _TOLD.get(group, "agrees") for c in cases["cause"]
            ],
            "case": _packed(number, pl.UInt16 if cases.height < 2**16 else pl.UInt32),
            "bytes": 2 if cases.height < 2**16 else 4,
            "row": _packed(items["row"], pl.Int32),
            "at": _packed(items["at"], pl.Int32) if several else None,
            "sheet": [_short_sheet(name) for name in cases["sheet"]] if several else None,
            "words": _words(items) if marked and items.height <= _MOST_WORDS else None,
            "finding": items["finding"].to_list() if marked else None,
        }
    return points


def _what(case: dict[str, Any]) -> str:
    legs = f", {case['legs']} legs" if case["legs"] and case["legs"] > 1 else ""
    size = size_text(case["size_mm"], case["size_in"])
    return f"{size} {case['kind']}, grade {case['grade']}{legs}"


def _words(items: pl.DataFrame) -> list[str]:
    return [(text or "")[:80] for text in items["item"]]


def _short(value: float | None) -> float | None:
    return float(f"{value:.6g}") if value and value > 0 else None


def _packed(numbers: pl.Series, dtype: type[pl.DataType]) -> str:
    array = numbers.cast(dtype).to_numpy()
    return base64.b64encode(array.astype(array.dtype.newbyteorder("<")).tobytes()).decode("ascii")


def _near(
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
