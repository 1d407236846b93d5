"""The texts that the items of a list are read from, each distinct combination of them once.

A list of ten million rows holds some thousands of different combinations of texts. Each is
interpreted once; a row keeps its number, its part number and the key of its combination. The
combinations of several batches or machines are joined without the rows (`join_combinations`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import polars as pl

from tallyhook.errors import StockListError
from tallyhook.messages import say
from tallyhook.model.items import TEXT_ROLES
from tallyhook.model.layout import FORCES, Column, Layout
from tallyhook.recognising.headings import read_heading
from tallyhook.vocabulary.blanks import blanks

__all__ = [
    "DistinctTexts",
    "columns_read",
    "distinct_texts_of",
    "first_filled",
    "idle_units",
    "is_matrix",
    "join_combinations",
    "join_distinct_texts",
    "number_equal_rows",
    "rating_groups",
    "with_joined_keys",
]

_METRIC = frozenset({"kg", "t", "ton", "kN", "daN", "N"})
_AMERICAN = frozenset({"lb", "lbf", "short ton", "ton"})


@dataclass(frozen=True, slots=True, kw_only=True)
class DistinctTexts:
    """The rows of a list or of a part of it, each distinct combination of their texts once.

    `combinations` holds, for each group of rating columns, one row a combination: the cells that
    an item is read from, ``section``, ``supplier`` and ``times``. `rows` holds ``row``, ``part``
    and ``key``: the place of its combination among all of them.
    """

    rows: pl.DataFrame = field(repr=False)
    combinations: tuple[pl.DataFrame, ...] = field(repr=False)


def distinct_texts_of(body: pl.DataFrame, layout: Layout) -> DistinctTexts:
    """Find the distinct texts of some rows of a list.

    `body` is as in the layout; a column ``times`` says how many rows each stands for.
    """
    groups = rating_groups(layout)
    rows: list[pl.DataFrame] = []
    combinations: list[pl.DataFrame] = []
    for place, (_, columns) in enumerate(groups):
        part = body
        if len(groups) > 1:  # a matrix: an empty cell is no item, but a row without any is one
            part = body.filter(_filled(columns) if columns else ~_filled(layout.having("wll")))
        used = [c for c in _used(layout, columns) if c in body.columns]
        part = part.select(
            pl.col("row").cast(pl.UInt32),
            first_filled(layout, "part").alias("part"),
            *(pl.col(c).fill_null("") for c in used),
            (pl.col("section") if "section" in body.columns else pl.lit(None, pl.String)).alias(
                "section"
            ),
            first_filled(layout, "supplier").alias("supplier"),
            (pl.col("times") if "times" in body.columns else pl.lit(1, pl.UInt32)).alias("times"),
        )
        offset = sum(frame.height for frame in combinations)
        own, key = _distinct(part.drop("row", "part"), offset)
        combinations.append(own)
        rows.append(part.select("row", "part", key, pl.lit(place, pl.UInt8).alias("_place")))
    whole = rows[0]
    if len(rows) > 1:
        whole = pl.concat(rows).sort("row", "_place", maintain_order=True)
    return DistinctTexts(rows=whole.drop("_place"), combinations=tuple(combinations))


def join_distinct_texts(parts: Sequence[DistinctTexts]) -> DistinctTexts:
    """Put the texts of several batches together, in the order of the list.

    Raises
    ------
    StockListError
        Two different texts have one hash.
    """
    combinations, keys = join_combinations([part.combinations for part in parts])
    rows = [with_joined_keys(part.rows, key) for part, key in zip(parts, keys, strict=True)]
    return DistinctTexts(rows=pl.concat(rows), combinations=combinations)


def join_combinations(
    parts: Sequence[Sequence[pl.DataFrame]],
) -> tuple[tuple[pl.DataFrame, ...], list[pl.Series]]:
    """Put the combinations of several batches together, each distinct one once.

    Returns
    -------
    combinations, keys
        The joined combinations, and for each batch the new key of each of its own ones
        (`with_joined_keys`).
    """
    combinations: list[pl.DataFrame] = []
    moved: list[list[pl.Series]] = [[] for _ in parts]
    for place in range(len(parts[0])):
        offset = sum(frame.height for frame in combinations)
        merged, key = _distinct(pl.concat([part[place] for part in parts]), offset)
        combinations.append(merged)
        for part, keys in zip(parts, moved, strict=True):
            height = part[place].height
            keys.append(key.head(height))
            key = key.slice(height)
    return tuple(combinations), [pl.concat(keys) for keys in moved]


def with_joined_keys(rows: pl.DataFrame, keys: pl.Series) -> pl.DataFrame:
    """Give the rows of a batch the keys of the whole list."""
    return rows.with_columns(keys.gather(rows["key"]).alias("key"))


def number_equal_rows(frame: pl.DataFrame) -> tuple[pl.Series, pl.Series]:
    """Number the distinct rows of a frame, by a 64-bit hash.

    Each row is compared with the one that it is taken to equal.

    Returns
    -------
    first, number
        The place of the first of each distinct row, in their order; and for every row the number
        of the distinct row that it equals.

    Raises
    ------
    StockListError
        Two different rows have one hash.

    Examples
    --------
    >>> first, number = number_equal_rows(pl.DataFrame({"c0": ["a", "b", "a"]}))
    >>> first.to_list(), number.to_list()
    ([0, 1], [0, 1, 0])
    """
    hashes = frame.select(pl.struct(pl.all()).hash().alias("hash")).with_row_index("first")
    numbered = (
        hashes.group_by("hash", maintain_order=True)
        .agg(pl.col("first").first())
        .with_row_index("number")
    )
    taken = hashes.select("hash").join(numbered, on="hash", how="left", maintain_order="left")
    same = (pl.col(c).eq_missing(pl.col(c).gather(taken["first"])).all() for c in frame.columns)
    if not all(frame.select(same).row(0)):
        raise StockListError(
            say("two of its rows cannot be told apart"),
            next_step=say("cut the list in two and check each part"),
        )
    return numbered["first"], taken["number"]


def _distinct(texts: pl.DataFrame, offset: int) -> tuple[pl.DataFrame, pl.Series]:
    """Give the distinct combinations, and the key of each row from `offset` on."""
    first, number = number_equal_rows(texts.drop("times"))
    summed = texts.group_by(number.alias("number")).agg(pl.col("times").sum()).sort("number")
    key = (number + offset).cast(pl.UInt32).alias("key")
    return texts[first].with_columns(summed["times"]), key


def columns_read(layout: Layout) -> list[str]:
    """Name the columns that an item of any group is read from, its supplier's with them."""
    used = [c for _, columns in rating_groups(layout) for c in _used(layout, columns)]
    return list(dict.fromkeys([*used, *(c.column for c in layout.having("supplier"))]))


def idle_units(layout: Layout) -> list[Column]:
    """Give the columns of units beside loads that have their unit from elsewhere."""
    owned = {c.unit_column for c in layout.columns}
    return [c for c in layout.having("unit") if c.column not in owned]


def _used(layout: Layout, columns: list[Column]) -> list[str]:
    """Name the columns that an item of a group of rating columns is read from."""
    used = [c.column for c in layout.columns if c.role in TEXT_ROLES or c.refused_role]
    used += [column.column for column in columns]
    beside = (c.unit_column for c in layout.columns if c in columns or c.role in FORCES[1:])
    used += [unit for unit in beside if unit]
    used += [c.column for c in idle_units(layout)]
    return list(dict.fromkeys(used))


def rating_groups(layout: Layout) -> list[tuple[dict[str, str], list[Column]]]:
    """Group the rating columns by what their headings give; each group makes one item a row.

    Which of two columns is the rating and which the same in a second unit follows from their units
    and headings, wherever they stand. Of a matrix, a last group without columns takes the rows that
    have no rating in any.
    """
    groups: dict[tuple[tuple[str, str], ...], list[Column]] = {}
    for column in layout.columns:
        if column.role == "wll":
            groups.setdefault(tuple(sorted(column.gives.items())), []).append(column)
    first = _usual_units(layout)
    found = [
        (dict(gives), sorted(columns, key=lambda c: (c.unit not in first, c.heading)))
        for gives, columns in groups.items()
    ]
    return found if found and not is_matrix(layout) else [*found, ({}, [])]


def _usual_units(layout: Layout) -> frozenset[str]:
    """Give the units that a rating is taken in where the list gives it in several."""
    lengths = {c.unit for c in layout.columns if c.role == "size"}
    metric = lengths & {"mm", "cm"} or layout.decimal == ","
    return _METRIC if metric and "in" not in lengths else _AMERICAN


def is_matrix(layout: Layout) -> bool:
    """Whether the headings of the rating columns say what is rated, such as its grade."""
    return any(column.gives for column in layout.having("wll"))


def _filled(columns: list[Column]) -> pl.Expr:
    """Whether a cell of some rating columns holds something."""
    texts = [pl.col(c.column).fill_null("").str.strip_chars() for c in columns]
    return pl.any_horizontal(~t.str.to_lowercase().is_in(sorted(blanks())) for t in texts)


def first_filled(layout: Layout, role: str) -> pl.Expr:
    """Give the first filled cell of a role's columns.

    First is the column headed so and nothing more ("SKU", "Vendor part no"), wherever it stands.
    """
    columns = sorted(
        layout.having(role), key=lambda c: (not read_heading(c.heading).whole, c.heading)
    )
    cells = [pl.col(c.column).str.strip_chars() for c in columns]
    filled = [pl.when(c != "").then(c) for c in cells]
    return pl.coalesce(filled) if filled else pl.lit(None, dtype=pl.String)
