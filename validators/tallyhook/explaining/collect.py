"""One finding for a mistake that a whole column, supplier or block shares."""

from __future__ import annotations

from collections.abc import Sequence

import polars as pl

from tallyhook.model.distinct import DistinctItems
from tallyhook.model.finding import SEVERITIES

__all__ = [
    "CERTIFICATE",
    "collect",
    "collect_echoes",
    "columns_of",
    "compared_rows",
    "once_a_column",
    "placed",
]

_LEAST = 5
"""Rows that must share a mistake before it is called one mistake."""

_SHARE = 0.8
"""Share of the comparable rows of a group that must have it."""

CERTIFICATE = "only the maker's certificate can confirm a higher rating"

_ALIKE = 0.006
"""Share that a load in a shifted block may be off the rating of the row it came from."""

_ECHOES = (
    "the-two-units-disagree",
    "breaking-force-and-rating-disagree",
    "proof-force-and-rating-disagree",
)
"""Rules that hold the rating against another column: they speak of a wrong rating again."""

_BY_THE_ROW = ("digits-swapped", "digit-mistyped", "digit-lost-or-added", "rounded", "unexplained")
"""Slips of the hand: they happen once, whatever their number."""


def collect(
    findings: pl.DataFrame, listed: DistinctItems, places: pl.DataFrame | None = None
) -> pl.DataFrame:
    """Replace the findings that are one mistake by one finding with its rows.

    A group is a column of a sheet, the rows of one kind or supplier in it, or of both. It is one
    mistake when at least `_SHARE` of its comparable rows (and at least `_LEAST`) have the same
    cause; its rows that may have it join them. Runs of neighbouring rows with one cause are one
    mistake, too, and so are runs in which each row carries the rating of the row beside it.

    Parameters
    ----------
    findings : frame
        Rating findings with their causes filled, one a row, with the ``key`` of its item.
    listed : DistinctItems
        The matched items of the list and their rows.
    places : frame, optional
        What `placed` says of the rows with findings, when `listed` does not hold every row.
    """
    compared = listed.distinct.filter(pl.col("outcome") != "not compared")
    context = compared.select("key", "sheet", "wll_column", "kind", "supplier", "cradle", "grade")
    # a row with two ratings is one of either column
    second = pl.col("wll2_column") != pl.col("wll_column")
    twice = compared.filter(second).with_columns(pl.col("wll2_column").alias("wll_column"))
    held = pl.concat([compared, twice])
    own = ("row", "sheet", pl.col("column").alias("wll_column"), "key", "cause", "other_causes")
    named = (
        findings.select(own)
        .with_row_index("n")
        .join(
            context.select("key", "kind", "supplier", "cradle", "grade"),
            on="key",
            how="left",
            maintain_order="left",
        )
    )
    taken: set[int] = set()
    made = []
    if places is None and findings.height >= _LEAST:
        places = placed(listed.rows, columns_of(listed.distinct), findings["key"].unique())
    for run, side in _shifted(named, listed, places):
        taken.update(run)
        made.append(_shift(findings, run, side))
    for level in (
        ["wll_column"],
        ["wll_column", "supplier"],
        ["wll_column", "kind"],
        ["wll_column", "supplier", "kind"],
        ["wll_column", "supplier", "kind", "cradle"],
        ["wll_column", "kind", "grade"],
    ):
        by = ["sheet", *level]
        sizes = held.group_by(by).agg(pl.col("times").sum().alias("comparable"))
        left = named.filter(~pl.col("n").is_in(list(taken)))
        if level == ["wll_column", "supplier"]:
            left = left.filter(pl.col("supplier").is_not_null())
        free = left.filter(~pl.col("cause").is_in(_BY_THE_ROW) & pl.col("cause").is_not_null())
        shared = (
            free.group_by(*by, "cause", maintain_order=True)
            .agg(pl.len().alias("found"), pl.col("n"))
            .join(sizes, on=by, how="left", nulls_equal=True, maintain_order="left")
            .filter(
                (pl.col("found") >= _LEAST) & (pl.col("found") >= _SHARE * pl.col("comparable"))
            )
        )
        for group in shared.iter_rows(named=True):
            joining = left.filter(
                pl.all_horizontal(pl.col(c).eq_missing(pl.lit(group[c])) for c in by)
                & pl.col("other_causes").list.contains(group["cause"])
                & ~pl.col("n").is_in(list(taken))
            )
            numbers = [*group["n"], *joining["n"]]
            taken.update(numbers)
            one = _one(findings, numbers, _words(group, level))
            made.append(one.with_columns(pl.lit(group["cause"]).alias("cause")))
    for run in _runs(named.filter(~pl.col("n").is_in(list(taken))), places):
        taken.update(run)
        made.append(_one(findings, run, "a block of neighbouring rows"))
    rest = findings.with_row_index("n").filter(~pl.col("n").is_in(list(taken))).drop("n")
    return pl.concat([*made, rest]) if made else findings


def collect_echoes(findings: pl.DataFrame, blocks: pl.DataFrame) -> pl.DataFrame:
    """Put what other rules say again of the rows of a block into one finding a rule."""
    numbered = findings.with_row_index("n")
    about = numbered.filter(pl.col("rule").is_in(_ECHOES) & pl.col("row").is_not_null())
    made, taken = [], set[int]()
    for block in blocks.filter(pl.col("rows").is_not_null()).iter_rows(named=True):
        inside = about.filter(
            pl.col("sheet").eq_missing(pl.lit(block["sheet"]))
            & pl.col("row").is_in(block["rows"])
            & ~pl.col("n").is_in(list(taken))
        )
        for numbers in inside.group_by("rule", "column", maintain_order=True).agg("n")["n"]:
            if len(numbers) >= _LEAST:
                taken.update(numbers)
                made.append(_one(findings, list(numbers), block["item"].rpartition(", ")[0]))
    rest = numbered.filter(~pl.col("n").is_in(list(taken))).drop("n")
    return pl.concat([*made, rest]) if made else findings


def once_a_column(findings: pl.DataFrame, rules: Sequence[str]) -> pl.DataFrame:
    """Put the findings of rules about a column into one for each column of a sheet."""
    numbered = findings.with_row_index("n")
    about = numbered.filter(pl.col("rule").is_in(rules))
    groups = about.group_by("rule", "sheet", "column", maintain_order=True).agg("n")
    made = [
        _one(findings, numbers, f"the column {column}")
        for _, _, column, numbers in groups.iter_rows()
        if len(numbers) > 1
    ]
    if not made:
        return findings
    many = about.filter(pl.len().over("rule", "sheet", "column") > 1)["n"]
    rest = numbered.filter(~pl.col("n").is_in(many.implode())).drop("n")
    return pl.concat([*made, rest])


def _words(group: dict[str, object], level: list[str]) -> str:
    where = f"the column {group['wll_column']}"
    if "grade" in level:
        return f"grade {group['grade']} in {where}"
    if level[-1] == "supplier":
        return f"every row of {group['supplier']} in {where}"
    supplier = f" of {group['supplier']}" if group.get("supplier") else ""
    return f"every {group['kind']}{supplier} in {where}" if "kind" in level else where


def _one(findings: pl.DataFrame, numbers: list[int], where: str) -> pl.DataFrame:
    rows = findings[numbers].sort("row")
    rank = {severity: i for i, severity in enumerate(SEVERITIES)}
    worst = pl.col("severity").replace_strict(rank, return_dtype=pl.Int8)
    first = rows.sort(worst, maintain_order=True).head(1)  # the rule that speaks for all of them
    example = f"{len(numbers)} rows, as row {first['row'][0]}: "
    return first.with_columns(
        pl.lit(None, dtype=pl.Int64).alias("row"),
        pl.Series("rows", [sorted(set(rows["row"].to_list()))], dtype=pl.List(pl.Int64)),
        pl.lit(f"{where}, {len(numbers)} rows").alias("item"),
        pl.lit(example + (first["observed"][0] or "")).alias("observed"),
        pl.lit(example + (first["expected"][0] or "")).alias("expected"),
        pl.lit(rows["ratio"].median(), dtype=pl.Float64).alias("ratio"),
        pl.lit(rows["confidence"].max(), dtype=pl.Float64).alias("confidence"),
        pl.lit(_note(rows, first), dtype=pl.String).alias("note"),
    )


def _note(rows: pl.DataFrame, example: pl.DataFrame) -> str | None:
    """What the rows' notes say: the same thing, or that of one row as an example."""
    said: str | None = example["note"][0]
    if said is None or rows["note"].n_unique() == 1:
        return said
    return f"in row {example['row'][0]} {said}"


def _shift(findings: pl.DataFrame, numbers: list[int], side: str) -> pl.DataFrame:
    one = _one(findings, numbers, "a block of neighbouring rows")
    how = f"each row carries the rating of the row {side} it"
    higher = CERTIFICATE in (one["note"][0] or "")
    return one.with_columns(
        pl.lit("neighbouring-size").alias("cause"),
        pl.lit(0.99).alias("confidence"),
        pl.lit([], dtype=pl.List(pl.String)).alias("other_causes"),
        pl.lit(f"{how}; {CERTIFICATE}" if higher else how).alias("note"),
    )


def _shifted(
    named: pl.DataFrame, listed: DistinctItems, places: pl.DataFrame | None
) -> list[tuple[list[int], str]]:
    """Runs of at least `_LEAST` wrong rows that carry the rating of the row below or above.

    The last row of a run carries that of a row beyond the block: it is not seen to fit, and
    belongs to it where nothing else but the neighbour explains it.
    """
    if named.height < _LEAST or places is None:
        return []
    rated = listed.distinct.select("key", "wll_kg", "low_kg", "high_kg")
    order = (
        places.join(named.select("row", "key", "cause", "n"), on=["row", "key"], how="inner")
        .join(rated, on="key", how="left")
        .sort("_column", "_place", maintain_order=True)
    )
    runs: list[tuple[list[int], str]] = []
    for step, side in ((-1, "below"), (1, "above")):
        beside = (pl.col("_place").shift(step) - pl.col("_place") == -step) & (
            pl.col("_column").shift(step) == pl.col("_column")
        )
        fits = beside & pl.col("wll_kg").is_between(
            pl.col("low_kg").shift(step) * (1 - _ALIKE),
            pl.col("high_kg").shift(step) * (1 + _ALIKE),
        )
        marked = order.with_columns(fits.fill_null(value=False).alias("fits"))
        ending = pl.col("fits").shift(-step) & ~pl.col("fits")
        follows = (pl.col("_place") - pl.col("_place").shift() == 1) & (
            pl.col("_column") == pl.col("_column").shift()
        )
        stray = pl.col("cause").is_in(["neighbouring-size", "other-grade", "unexplained"])
        inside = marked.with_columns(
            (pl.col("fits") | (ending & stray)).fill_null(value=False).alias("inside"),
            follows=follows,
        )
        grouped = (
            inside.with_columns(
                (~(pl.col("follows") & pl.col("inside").shift()).fill_null(value=False))
                .cum_sum()
                .alias("run")
            )
            .filter("inside")
            .group_by("run", maintain_order=True)
            .agg("n", pl.col("fits").sum())
            .filter((pl.col("n").list.len() >= _LEAST) & (pl.col("fits") >= _LEAST - 1))
        )
        found = grouped["n"].to_list()
        runs += [(numbers, side) for numbers in found]
        order = order.filter(~pl.col("n").is_in([n for run in found for n in run]))
    return runs


def columns_of(distinct: pl.DataFrame) -> pl.DataFrame:
    """Number the rating columns of a list: ``key`` of each compared item and its ``_column``.

    Of two columns with one rating in two units it is the first, whichever was held.
    """
    column = ["sheet", "wll_column"]
    first = pl.when("by_second").then("wll2_column").otherwise("wll_column").alias("wll_column")
    told = distinct.filter(pl.col("outcome") != "not compared")
    compared = told.select("key", "sheet", first)
    numbered = compared.select(column).unique(maintain_order=True).with_row_index("_column")
    joined = compared.join(numbered, on=column, nulls_equal=True, maintain_order="left")
    return joined.select("key", "_column")


def placed(rows: pl.DataFrame, columns: pl.DataFrame, keys: pl.Series) -> pl.DataFrame:
    """Give the rows of some items their ``_place`` among the compared rows of the rating column."""
    compared = _with_column(rows, columns).with_row_index("_at")
    found = compared.filter(pl.col("key").is_in(keys.implode()))
    numbers = columns["_column"].unique().sort().to_list()
    column = pl.col("_column")
    before = (
        compared.select(pl.arg_where(column == n)).to_series().search_sorted(found["_at"])
        for n in numbers
    )
    place = pl.coalesce(
        pl.lit(None, dtype=pl.UInt32),
        *(pl.when(column == n).then(pl.col(f"before {n}")) for n in numbers),
    )
    return found.with_columns(
        count.alias(f"before {n}") for n, count in zip(numbers, before, strict=True)
    ).select(pl.col("row").cast(pl.Int64), "key", "_column", place.cast(pl.Int64).alias("_place"))


def compared_rows(rows: pl.DataFrame, columns: pl.DataFrame) -> dict[int, int]:
    """Count the compared rows of each rating column."""
    counted = _with_column(rows, columns)["_column"].value_counts()
    return dict(counted.drop_nulls().iter_rows())


def _with_column(rows: pl.DataFrame, columns: pl.DataFrame) -> pl.DataFrame:
    """Give the compared rows the number of their rating column."""
    last = rows.select(pl.col("key").max()).item() or 0
    every = pl.DataFrame({"key": pl.int_range(last + 1, dtype=pl.UInt32, eager=True)})
    lookup = every.join(columns, on="key", how="left", maintain_order="left")["_column"]
    found = rows.select("row", "key", lookup.gather(rows["key"]).alias("_column"))
    if (found["row"] == found["row"].shift()).any():  # a matrix: a row holds several items
        found = found.drop_nulls("_column")
        found = found.unique(["row", "_column"], keep="first", maintain_order=True)
    return found


def _runs(named: pl.DataFrame, places: pl.DataFrame | None) -> list[list[int]]:
    """Runs of at least `_LEAST` compared neighbours with one cause, agreeing rows end a run."""
    slips = named.filter(~pl.col("cause").is_in(_BY_THE_ROW) & pl.col("cause").is_not_null())
    if slips.height < _LEAST or places is None:
        return []
    order = places.join(
        slips.select("row", "key", "cause", "n"), on=["row", "key"], maintain_order="left"
    ).sort("_column", "_place", maintain_order=True)
    near = (
        (pl.col("_place") - pl.col("_place").shift() == 1)
        & (pl.col("_column") == pl.col("_column").shift())
        & (pl.col("cause") == pl.col("cause").shift())
    )
    runs = (
        order.with_columns((~near.fill_null(value=False)).cum_sum().alias("run"))
        .group_by("run", maintain_order=True)
        .agg("n")
    )
    return [numbers for numbers in runs["n"].to_list() if len(numbers) >= _LEAST]
