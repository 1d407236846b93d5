"""The two pictures of the page: ratings against size, and how far each item is off.

The page's script lays the points out in the data sources that are made here.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import polars as pl

from tallyhook.messages import say
from tallyhook.model.finding import SEVERITIES
from tallyhook.packages.package import built_in_packages
from tallyhook.packages.reference import reference_ratings
from tallyhook.reporting.points import (
    GROUPS,
    Line,
    compared_items,
    counted_near,
    lines_of,
    packed_points,
    place_of,
    sheet_starts,
    short_sheet,
    unit_of,
    usual_ratios,
)
from tallyhook.units import factor

if TYPE_CHECKING:
    from tallyhook.reporting.report import Report

__all__ = ["MARKERS", "Pictures", "draw"]

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
"""The shape of every group of points."""

_MANY = 2_000  # points beyond which each is drawn smaller and paler


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


def draw(report: Report, ratings: pl.DataFrame | None = None) -> Pictures:
    """Draw both pictures.

    Parameters
    ----------
    report : Report
        The checked list.
    ratings : frame, optional
        The ratings that the list was held against
        (`tallyhook.packages.reference.REFERENCE_SCHEMA`); the built-in ones otherwise.
    """
    from bokeh.document import Document
    from bokeh.embed.util import standalone_docs_json_and_render_items

    ratings = reference_ratings(built_in_packages()) if ratings is None else ratings
    compared = compared_items(report)
    unit = unit_of(compared)
    sheets = sheet_starts(report)
    compared = compared.with_columns(
        (pl.col("wll_kg") * factor("kg", unit)).alias("load"), place_of(sheets).alias("at")
    )
    lines, alike = lines_of(ratings, compared, unit)
    ratios = usual_ratios()
    figures = [
        _ratings_figure(compared, lines, unit, several=len(sheets) > 1),
        _ratio_figure(compared, ratios, sheets),
    ]
    document = Document()
    for figure in figures:
        document.add_root(figure)
    drawn, places = standalone_docs_json_and_render_items(figures)
    documents, items = _same_names(drawn, [place.to_json() for place in places])
    sizes = compared["group"].value_counts()
    return Pictures(
        documents=json.dumps(documents),
        items=json.dumps(items),
        points=json.dumps(packed_points(compared, several=len(sheets) > 1), allow_nan=False),
        compared=compared.height,
        undrawn=compared.filter(~(pl.col("load") > 0)).height,
        left_out=report.counts["agree"] + report.counts["contradicted"] - compared.height,
        unit=unit,
        lines=tuple(lines),
        alike=tuple(alike),
        near=counted_near(compared, ratios),
        groups={g: n for g in GROUPS for g2, n in sizes.iter_rows() if g2 == g},
    )


def _same_names(documents: Any, items: Any) -> tuple[Any, Any]:
    """Name what was drawn by the order in which it stands: the same page is the same bytes.

    Bokeh counts its models over the whole process, and names documents and places at random.
    """
    names: dict[str, str] = {}

    def name(found: str) -> str:
        return names.setdefault(found, f"n{len(names)}")

    def walk(value: Any) -> Any:
        if isinstance(value, list):
            return [walk(each) for each in value]
        if not isinstance(value, dict):
            return value
        return {
            key: name(each) if key == "id" and isinstance(each, str) else walk(each)
            for key, each in value.items()
        }

    named = {name(key): walk(document) for key, document in documents.items()}
    return named, [
        item
        | {
            "docid": name(item["docid"]),
            "roots": {name(model): name(place) for model, place in item["roots"].items()},
            "root_ids": [name(model) for model in item["root_ids"]],
        }
        for item in items
    ]


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
        x_axis_label=say("nominal size (mm)"),
        y_axis_label=say("working load limit ({unit})", unit=unit),
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
            "text": [say("grade {grade}", grade=n) for n in names],
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
        x_axis_label=say("listed load / rating in the table"),
        y_axis_label=say("row of the list") if len(sheets) < 2 else say("sheet and row"),
        y_axis_type="linear",
    )
    shown = [(r, name) for r, name in ratios if low * 0.85 <= r <= high * 1.15]
    named = sorted([*shown, (1.0, say("agrees"))])
    _draw_ratio_lines(fig, named)
    _scatter(fig, "ratio", "at", many=compared.height > _MANY, several=len(sheets) > 1)
    _write_ratio_names(fig, named, _ranks(compared, ratios), at=first - 0.6 * span)
    labels = ColumnDataSource(_no_labels(), name="labels-ratios")
    _text(fig, labels, "x", "y")
    fig.xaxis.ticker = FixedTicker(
        ticks=[0.001, 0.01, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 1000]
    )
    fig.xaxis.formatter = NumeralTickFormatter(format="0,0.[000]")
    fig.xaxis.major_label_policy = NoOverlap(min_distance=8)
    fig.yaxis.formatter = NumeralTickFormatter(format="0")
    fig.ygrid.visible = False
    if len(sheets) > 1:
        _tick_sheets(fig, compared)
    else:
        _tick_rows(fig, first, last)
    return fig


def _draw_ratio_lines(fig: Any, named: list[tuple[float, str]]) -> None:
    from bokeh.models.annotations import Span

    # the line at 1 last
    for ratio, name in sorted(named, key=lambda each: each[0] == 1.0):
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


def _ranks(compared: pl.DataFrame, ratios: list[tuple[float, str]]) -> dict[float, int]:
    """Give each usual ratio its rank by the number of contradicted items at it."""
    nearest = sorted(counted_near(compared, ratios), key=lambda n: -n[2])
    return {ratio: rank for rank, (ratio, _, _) in enumerate(nearest)}


def _write_ratio_names(
    fig: Any, named: list[tuple[float, str]], ranks: Mapping[float, int], *, at: float
) -> None:
    from bokeh.models import ColumnDataSource

    source = ColumnDataSource(
        {
            "x": [ratio for ratio, _ in named],
            "y": [at] * len(named),
            "name": [f"{ratio:.4g} {name}" for ratio, name in named],
            "text": [""] * len(named),
            "rank": [-1 if ratio == 1 else ranks[ratio] for ratio, _ in named],
            "dx": [0.0] * len(named),
            "dy": [0.0] * len(named),
        },
        name="ratio-names",
    )
    fig.text(
        "x", "y", "text", source=source, angle=-1.5707963267948966, x_offset="dx", y_offset="dy",
        text_font_size="12px", text_baseline="middle", text_align="left",
        text_color="#222222", background_fill_color="#ffffff", background_fill_alpha=0.8,
        tags=["text"],
    )  # fmt: skip


def _tick_sheets(fig: Any, compared: pl.DataFrame) -> None:
    """Name the sheet at its first row: a row number means nothing without its sheet."""
    from bokeh.models import FixedTicker, NoOverlap

    tops = compared.group_by("sheet", maintain_order=True).agg(pl.col("at", "row").min())
    fig.yaxis.ticker = FixedTicker(ticks=tops["at"].to_list())
    fig.yaxis.major_label_overrides = {
        at: f"{short_sheet(sheet)} {row}" for sheet, at, row in tops.iter_rows()
    }
    fig.yaxis.major_label_policy = NoOverlap(min_distance=2)


def _tick_rows(fig: Any, first: int, last: int) -> None:
    """Count the rows from the first one on: above it there is none."""
    from bokeh.models import FixedTicker

    step = _step(max(last - first, 1))
    ticks = [first, *(t for t in range(step, last + 1, step) if t > first + step / 3)]
    fig.yaxis.ticker = FixedTicker(ticks=ticks)


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
        "size", "load", "ratio", "row", "at", "sheet", "size_text", "load_text", "what", "said",
        "finding",
    )  # fmt: skip
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
tooltips=_tooltip(several=several),
        ),
        TapTool(renderers=tapped, visible=False),
    )  # fmt: skip


def _tooltip(*, several: bool) -> str:
    """What is shown at a point; the library fills in what follows an @, and escapes it."""
    row, ratio = "@row{0}", "@ratio{0.000}"
    place = (
        say("{sheet} row {row}", sheet="@sheet", row=row) if several else say("row {row}", row=row)
    )
    numbers = say("listed {load}, {ratio} times the table", load="@load_text", ratio=ratio)
    return (
        '<div style="max-width: 22rem; overflow-wrap: anywhere; color: #1b1f24">'
        f"<strong>{place}</strong> @what<br>{numbers}<br>@said</div>"
    )


def _text(fig: Any, source: Any, x: str, y: str, *, bold: bool = False) -> None:
    fig.text(
        x, y, "text", source=source, x_offset="dx", y_offset="dy", text_font_size="13px",
        text_font_style="bold" if bold else "normal", text_baseline="middle", text_align="left",
        text_color="#222222", background_fill_color="#ffffff", background_fill_alpha=0.75,
        tags=["text"],
    )  # fmt: skip


def _no_labels() -> Any:
    return {"x": [], "y": [], "text": [], "dx": [], "dy": []}
