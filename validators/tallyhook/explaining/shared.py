"""One finding for a mistake that a whole column, supplier or block of rows shares."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import polars as pl

from tallyhook.explaining.nature import Causes
from tallyhook.explaining.places import columns_of, placed
from tallyhook.messages import say, to_say
from tallyhook.model.distinct import DistinctItems
from tallyhook.model.finding import CERTIFICATE, SEVERITIES

__all__ = ["once_a_column", "share_causes", "share_repeated"]

_FEWEST = 5
"""Rows that must share a mistake before it is called one mistake (judgement)."""

_SHARE = 0.8
"""Share of the comparable rows of a group that must have it (judgement)."""

_ALIKE = 0.006
"""Share that a load in a shifted block may be off the rating of the row it came from."""

_SHIFTED = "neighbouring-size"
_SUREST = 0.99

_REPEATING = (
    "the-two-units-disagree",
    "breaking-force-and-rating-disagree",
    "proof-force-and-rating-disagree",
)
"""Rules that hold the rating against another column: they speak of a wrong rating again."""

_GROUPS = (
    ("wll_column",),
    ("wll_column", "supplier"),
    ("wll_column", "kind"),
    ("wll_column", "supplier", "kind"),
    ("wll_column", "supplier", "kind", "cradle"),
    ("wll_column", "kind", "grade"),
)
"""Rows of a sheet that may share a mistake, by what they have in common; the widest first."""

_OF_THE_ITEM = ("kind", "supplier", "cradle", "grade")
_OF_ONE_ROW = ("part", "rating_id", "observed_kg", "expected_kg")
"""What a finding about many rows says only where it is the same in all of them."""

_BLOCK = to_say("a block of neighbouring rows")
_SIDES = (
    (-1, to_say("each row carries the rating of the row below it")),
    (1, to_say("each row carries the rating of the row above it")),
)
"""Where the rating of a shifted row stands, and the words for it."""


def share_causes(
    findings: pl.DataFrame,
    listed: DistinctItems,
    causes: Causes,
    places: pl.DataFrame | None = None,
) -> pl.DataFrame:
    """Replace the findings that are one mistake by one finding with its rows.

    A group is a column of a sheet, the rows of one kind or supplier in it, or of both. It is one
    mistake when at least `_SHARE` of its comparable rows (and at least `_FEWEST`) have the same
    cause; its rows that may have it join them. Runs of neighbouring rows with one cause are one
    mistake, too, and so are runs in which each row carries the rating of the row beside it.

    Parameters
    ----------
    findings : frame
        Rating findings with their causes filled, one a row, with the ``key`` of its item.
    listed : DistinctItems
        The matched items of the list and their rows.
    causes : Causes
        Which of them recur, and which a shifted row can seem to have.
    places : frame, optional
        What `tallyhook.explaining.places.placed` says of the rows with findings, when `listed`
        does not hold every row.
    """
    compared = listed.distinct.filter(pl.col("outcome") != "not compared")
    named = _named(findings, compared)
    if places is None and findings.height >= _FEWEST:
        places = placed(listed.rows, columns_of(listed.distinct), findings["key"].unique())
    taken: list[int] = []
    made = []
    for numbers, words in _shifted(named, listed, causes, places):
        taken += numbers
        made.append(_shift(findings, numbers, words))
    held = _held(compared)
    for level in _GROUPS:
        for numbers, group in _sharing(named, held, level, causes, taken):
            taken += numbers
            one = _one(findings, numbers, _words(group, level))
            made.append(one.with_columns(pl.lit(group["cause"]).alias("cause")))
    for numbers in _runs(_without(named, taken), causes, places):
        taken += numbers
        made.append(_one(findings, numbers, say(_BLOCK)))
    return _with_the_rest(findings, made, taken)


def share_repeated(findings: pl.DataFrame, blocks: pl.DataFrame) -> pl.DataFrame:
    """Put what other rules say again of the rows of a block into one finding a rule."""
    about = findings.with_row_index("n").filter(
        pl.col("rule").is_in(_REPEATING) & pl.col("row").is_not_null()
    )
    made: list[pl.DataFrame] = []
    taken: list[int] = []
    for block in blocks.filter(pl.col("rows").is_not_null()).iter_rows(named=True):
        inside = _without(about, taken).filter(
            pl.col("sheet").eq_missing(pl.lit(block["sheet"])) & pl.col("row").is_in(block["rows"])
        )
        for numbers in inside.group_by("rule", "column", maintain_order=True).agg("n")["n"]:
            if len(numbers) >= _FEWEST:
                taken += numbers.to_list()
                made.append(_one(findings, numbers.to_list(), block["item"].rpartition(", ")[0]))
    return _with_the_rest(findings, made, taken)


def once_a_column(findings: pl.DataFrame, rules: Sequence[str]) -> pl.DataFrame:
    """Put the findings of rules about a column into one for each column of a sheet."""
    about = findings.with_row_index("n").filter(pl.col("rule").is_in(rules))
    groups = about.group_by("rule", "sheet", "column", maintain_order=True).agg("n")
    many = groups.filter(pl.col("n").list.len() > 1)
    made = [
        _one(findings, numbers, say("the column {column}", column=column))
        for column, numbers in many.select("column", "n").iter_rows()
    ]
    return _with_the_rest(findings, made, many["n"].explode().drop_nulls().to_list())


def _without(numbered: pl.DataFrame, taken: Sequence[int]) -> pl.DataFrame:
    return numbered.filter(~pl.col("n").is_in(list(taken)))


def _with_the_rest(
    findings: pl.DataFrame, made: Sequence[pl.DataFrame], taken: Sequence[int]
) -> pl.DataFrame:
    if not made:
        return findings
    return pl.concat([*made, _without(findings.with_row_index("n"), taken).drop("n")])


# --- groups ------------------------------------------------------------------------------------


def _named(findings: pl.DataFrame, compared: pl.DataFrame) -> pl.DataFrame:
    """Number the findings (``n``), with what their items are grouped by."""
    own = ("row", "sheet", pl.col("column").alias("wll_column"), "key", "cause", "other_causes")
    numbered = findings.select(own).with_row_index("n")
    return numbered.join(
        compared.select("key", *_OF_THE_ITEM), on="key", how="left", maintain_order="left"
    )


def _held(compared: pl.DataFrame) -> pl.DataFrame:
    """The compared items; one with two ratings is of either column."""
    second = pl.col("wll2_column") != pl.col("wll_column")
    twice = compared.filter(second).with_columns(pl.col("wll2_column").alias("wll_column"))
    return pl.concat([compared, twice])


def _sharing(
    named: pl.DataFrame, held: pl.DataFrame, level: Sequence[str], causes: Causes,
    taken: Sequence[int],
) -> Iterator[tuple[list[int], dict[str, Any]]]:  # fmt: skip
    """The groups of a level that share a cause: the numbers of their findings, and the group."""
    by = ["sheet", *level]
    sizes = held.group_by(by).agg(pl.col("times").sum().alias("comparable"))
    left = _without(named, taken)
    if tuple(level) == ("wll_column", "supplier"):
        left = left.filter(pl.col("supplier").is_not_null())
    shared = (
        _recurring(left, causes)
        .group_by(*by, "cause", maintain_order=True)
        .agg(pl.len().alias("found"), pl.col("n"))
        .join(sizes, on=by, how="left", nulls_equal=True, maintain_order="left")
        .filter((pl.col("found") >= _FEWEST) & (pl.col("found") >= _SHARE * pl.col("comparable")))
    )
    joined: list[int] = []
    for group in shared.iter_rows(named=True):
        inside = pl.all_horizontal(pl.col(c).eq_missing(pl.lit(group[c])) for c in by)
        may_have_it = pl.col("other_causes").list.contains(group["cause"])
        joining = _without(left, joined).filter(inside & may_have_it)
        numbers = [*group["n"], *joining["n"]]
        joined += numbers
        yield numbers, group


def _recurring(named: pl.DataFrame, causes: Causes) -> pl.DataFrame:
    """Those whose cause is one that many rows can share."""
    return named.filter(pl.col("cause").is_not_null() & ~pl.col("cause").is_in(causes.once()))


def _words(group: dict[str, Any], level: Sequence[str]) -> str:
    column = say("the column {column}", column=group["wll_column"])
    if "grade" in level:
        return say("grade {grade} in {where}", grade=group["grade"], where=column)
    if level[-1] == "supplier":
        return say("every row of {supplier} in {where}", supplier=group["supplier"], where=column)
    if "kind" not in level:
        return column
    if not group.get("supplier"):
        return say("every {kind} in {where}", kind=group["kind"], where=column)
    return say(
        "every {kind} of {supplier} in {where}",
        kind=group["kind"],
        supplier=group["supplier"],
        where=column,
    )


# --- runs of neighbouring rows -----------------------------------------------------------------


def _runs(named: pl.DataFrame, causes: Causes, places: pl.DataFrame | None) -> list[list[int]]:
    """Runs of at least `_FEWEST` compared neighbours with one cause; an agreeing row ends a run."""
    left = _recurring(named, causes)
    if left.height < _FEWEST or places is None:
        return []
    order = places.join(
        left.select("row", "key", "cause", "n"), on=["row", "key"], maintain_order="left"
    ).sort("_column", "_place", maintain_order=True)
    near = _next_to(1) & (pl.col("cause") == pl.col("cause").shift())
    runs = (
        order.with_columns((~near.fill_null(value=False)).cum_sum().alias("run"))
        .group_by("run", maintain_order=True)
        .agg("n")
    )
    return [numbers for numbers in runs["n"].to_list() if len(numbers) >= _FEWEST]


def _next_to(step: int) -> pl.Expr:
    """Whether the row so many rows before stands that many places before in the same column."""
    place, column = pl.col("_place"), pl.col("_column")
    return (place - place.shift(step) == step) & (column == column.shift(step))


def _shifted(
    named: pl.DataFrame, listed: DistinctItems, causes: Causes, places: pl.DataFrame | None
) -> list[tuple[list[int], str]]:
    """Runs of at least `_FEWEST` wrong rows that carry the rating of the row below or above.

    The last row of a run carries that of a row beyond the block: it is not seen to fit, and
    belongs to it where nothing else but the neighbour explains it.
    """
    if named.height < _FEWEST or places is None:
        return []
    rated = listed.distinct.select("key", "wll_kg", "low_kg", "high_kg")
    order = (
        places.join(named.select("row", "key", "cause", "n"), on=["row", "key"], how="inner")
        .join(rated, on="key", how="left")
        .sort("_column", "_place", maintain_order=True)
    )
    runs: list[tuple[list[int], str]] = []
    for step, words in _SIDES:
        found = _runs_beside(order, step, causes)
        runs += [(numbers, words) for numbers in found]
        order = _without(order, [n for run in found for n in run])
    return runs


def _runs_beside(order: pl.DataFrame, step: int, causes: Causes) -> list[list[int]]:
    fits = _next_to(step) & pl.col("wll_kg").is_between(
        pl.col("low_kg").shift(step) * (1 - _ALIKE),
        pl.col("high_kg").shift(step) * (1 + _ALIKE),
    )
    seems = [*causes.of_a_line(), causes.unexplained.name]
    ends = pl.col("fits").shift(-step) & ~pl.col("fits") & pl.col("cause").is_in(seems)
    begins = ~(_next_to(1) & pl.col("inside").shift()).fill_null(value=False)
    runs = (
        order.with_columns(fits.fill_null(value=False).alias("fits"))
        .with_columns((pl.col("fits") | ends).fill_null(value=False).alias("inside"))
        .with_columns(begins.cum_sum().alias("run"))
        .filter("inside")
        .group_by("run", maintain_order=True)
        .agg("n", pl.col("fits").sum())
        .filter((pl.col("n").list.len() >= _FEWEST) & (pl.col("fits") >= _FEWEST - 1))
    )
    return runs["n"].to_list()


# --- the one finding ---------------------------------------------------------------------------


def _one(findings: pl.DataFrame, numbers: Sequence[int], where: str) -> pl.DataFrame:
    rows = findings[list(numbers)].sort("row")
    rank = {severity: i for i, severity in enumerate(SEVERITIES)}
    worst = pl.col("severity").replace_strict(rank, return_dtype=pl.Int8)
    first = rows.sort(worst, maintain_order=True).head(1)  # the rule that speaks for all of them
    seen, wanted = (
        say(
            "{count} rows, as row {row}: {text}", count=len(numbers), row=first["row"][0], text=text
        )
        for text in (first["observed"][0] or "", first["expected"][0] or "")
    )
    return first.with_columns(
        pl.lit(None, dtype=pl.Int64).alias("row"),
        pl.Series("rows", [sorted(set(rows["row"].to_list()))], dtype=pl.List(pl.Int64)),
        pl.lit(say("{where}, {count} rows", where=where, count=len(numbers))).alias("item"),
        pl.lit(seen).alias("observed"),
        pl.lit(wanted).alias("expected"),
        pl.lit(rows["ratio"].median(), dtype=pl.Float64).alias("ratio"),
        pl.lit(rows["confidence"].max(), dtype=pl.Float64).alias("confidence"),
        pl.lit(_note(rows, first), dtype=pl.String).alias("note"),
        *(
            pl.lit(None, dtype=rows.schema[name]).alias(name)
            for name in _OF_ONE_ROW
            if rows[name].n_unique() > 1
        ),
    )


def _note(rows: pl.DataFrame, example: pl.DataFrame) -> str | None:
    """What the rows' notes say: the same thing, or that of one row as an example."""
    note: str | None = example["note"][0]
    if note is None or rows["note"].n_unique() == 1:
        return note
    return say("in row {row} {note}", row=example["row"][0], note=note)


def _shift(findings: pl.DataFrame, numbers: Sequence[int], words: str) -> pl.DataFrame:
    one = _one(findings, numbers, say(_BLOCK))
    higher = say(CERTIFICATE) in (one["note"][0] or "")
    note = say("{how}; {note}", how=say(words), note=say(CERTIFICATE)) if higher else say(words)
    return one.with_columns(
        pl.lit(_SHIFTED).alias("cause"),
        pl.lit(_SUREST).alias("confidence"),
        pl.lit([], dtype=pl.List(pl.String)).alias("other_causes"),
        pl.lit(note).alias("note"),
    )
