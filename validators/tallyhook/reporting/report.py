"""What a check found, as data."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

import polars as pl

from tallyhook import __version__
from tallyhook.explaining.explain import RATING_RULES
from tallyhook.frames import to_pandas
from tallyhook.interpreting.distinct_texts import is_matrix
from tallyhook.messages import say, say_values
from tallyhook.model.distinct import DistinctItems
from tallyhook.model.finding import REPORTED_FINDING, SEVERITIES, STOCK_FINDING_SCHEMA
from tallyhook.model.items import REPORTED_ITEM, REPORTED_UNCOMPARED
from tallyhook.model.layout import Layout
from tallyhook.model.sheet import LeftOut
from tallyhook.recognising.rows import HIDDEN_ROW
from tallyhook.reporting.counts import Counts
from tallyhook.reporting.frame_index import index_values, with_own_index
from tallyhook.reporting.gates import compared, reasons_incomplete
from tallyhook.reporting.json_schemas import SCHEMA_VERSION
from tallyhook.reporting.left_out import unlooked_text

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["LONG_LIST", "PIECE", "Report", "json_records"]

LONG_LIST = 1_000_000
"""Items beyond which those that are simply right are counted and not listed one by one."""

PIECE = 100_000
"""Records that are written at a time."""


@dataclass(frozen=True, kw_only=True)
class Report:
    """A checked list.

    `listed` holds the items with their outcomes, each distinct one once, `stock_findings` every
    finding (polars). `matched` writes the items out, one a row; of a list with more than
    `LONG_LIST` items it leaves out those that agree and have no finding; `counts` counts all.
    `findings`, `items` and `not_compared` are pandas frames, with the words and the columns of the
    JSON. `accepted` holds the findings that a decision has accepted, apart from `stock_findings`.
    `crashed` names rules that could not answer. `incomplete` says why the answer is not whole.
    """

    file: str
    layouts: tuple[Layout, ...]
    listed: DistinctItems
    stock_findings: pl.DataFrame
    crashed: dict[str, str]
    packages: dict[str, str]
    accepted: pl.DataFrame = field(
        default_factory=lambda: pl.DataFrame(schema=STOCK_FINDING_SCHEMA)
    )

    @cached_property
    def matched(self) -> pl.DataFrame:
        """The items with their outcomes; of a very long list those that are not simply right."""
        rows = self.listed.rows
        if rows.height <= LONG_LIST:
            return self._struck_out(self.listed.items())
        wrong = self.listed.distinct.filter(pl.col("outcome") != "agree")["key"]
        found = self._all_findings["row"].drop_nulls().unique().cast(pl.UInt32)
        kept = pl.col("key").is_in(wrong.implode()) | pl.col("row").is_in(found.implode())
        return self._struck_out(self.listed.items(rows.filter(kept)))

    @property
    def _all_findings(self) -> pl.DataFrame:
        """The open findings, then the accepted ones."""
        return pl.concat([self.stock_findings, self.accepted.select(self.stock_findings.columns)])

    @cached_property
    def _serious(self) -> pl.DataFrame:
        """The sheet, row and column of every finding at danger or error that may strike an item.

        What the tables contradict is struck out already; in tables side by side another item of
        the row may stand under the same heading.
        """
        serious = pl.col("severity").is_in(SEVERITIES[:2])
        # what was accepted is still contradicted: somebody has looked at it, no table agrees
        found = self._all_findings.filter(serious & ~pl.col("rule").is_in(RATING_RULES))
        each = pl.when(pl.col("rows").is_not_null()).then("rows").otherwise(pl.concat_list("row"))
        return (
            found.select("sheet", each.alias("row"), pl.col("column").alias("struck"))
            .explode("row")
            .drop_nulls("row")
            .unique()
        )

    def _struck_out(self, items: pl.DataFrame) -> pl.DataFrame:
        """Items with the outcome that people mean: no row agrees that has a danger or an error.

        Nor is one only set aside for a cell that could not be read that has one.
        """
        distinct = self.listed.distinct
        ratings = pl.concat([distinct["wll_column"], distinct["wll2_column"]]).unique()
        struck = (
            items.with_row_index("n")
            .join(self._serious, on=["sheet", "row"], how="inner", nulls_equal=True)
            # a row of a matrix holds many items: a wrong cell does not strike its neighbours
            .filter(
                (pl.col("struck") == pl.col("wll_column"))
                | (pl.col("struck") == pl.col("wll2_column")).fill_null(False)
                | ~pl.col("struck").is_in(ratings.implode()).fill_null(False)
            )
        )
        bad = pl.int_range(pl.len(), dtype=pl.UInt32).is_in(struck["n"].unique().implode())
        return items.with_columns(
            pl.when(((pl.col("outcome") == "agree") | pl.col("set_aside")) & bad)
            .then(pl.lit("contradicted"))
            .otherwise("outcome")
            .alias("outcome")
        )

    @property
    def findings(self) -> pd.DataFrame:
        """One finding a row, worst first, then the accepted ones."""
        return self._with_own_index(self.told_findings)

    @property
    def items(self) -> pd.DataFrame:
        """One item a row, with its outcome: agree, contradicted, not_compared."""
        return self._with_own_index(self._told_items)

    @property
    def not_compared(self) -> pd.DataFrame:
        """The items that no table was held against, with the reason."""
        return self._with_own_index(self._uncompared)

    def _with_own_index(self, told: pl.DataFrame) -> pd.DataFrame:
        frame: pd.DataFrame = with_own_index(to_pandas(told), told, self.layouts)
        return frame

    @property
    def compared(self) -> bool:
        """Whether any item was held against a rating: if none was, no finding means nothing."""
        return compared(self.counts)

    @property
    def complete(self) -> bool:
        """Whether every rule answered, items were compared, and all that looks like ratings was."""
        return not self.incomplete

    @cached_property
    def incomplete(self) -> tuple[str, ...]:
        """Why the answer is not whole, a clause each: where there is one, the exit code is 2."""
        unlooked = [told for left in self.left_out if (told := unlooked_text(left))]
        return reasons_incomplete(self.counts, self.crashed, unlooked=unlooked)

    @cached_property
    def left_out(self) -> tuple[LeftOut, ...]:
        """The sheets and tables of the list that were not checked."""
        return tuple(dict.fromkeys(each for lay in self.layouts for each in lay.sheet.left_out))

    @cached_property
    def counts(self) -> Counts:
        """Counts of rows by outcome and of findings by severity, rule and cause.

        A finding that was accepted is counted among ``accepted`` alone.
        """
        outcomes: Counter[str] = Counter()
        for outcome, times in self.listed.distinct.select("outcome", "times").iter_rows():
            outcomes[outcome] += times
        rows = self.listed.rows
        touched = rows.filter(pl.col("row").is_in(self._serious["row"].unique().implode()))
        narrow = self.listed.distinct.select(
            "key", "times", "sheet", "wll_column", "wll2_column", "outcome", "set_aside"
        )
        raw = replace(self.listed, distinct=narrow).items(touched)
        outcomes.subtract(raw["outcome"].to_list())
        outcomes.update(self._struck_out(raw)["outcome"].to_list())
        found = self.stock_findings
        severities = _counted(found["severity"])
        return {
            "rows": sum(outcomes.values()),
            "agree": outcomes["agree"],
            "contradicted": outcomes["contradicted"],
            "not_compared": outcomes["not compared"],
            "severity": {s: severities[s] for s in SEVERITIES if s in severities},
            "rule": _counted(found["rule"]),
            "cause": _counted(found["cause"]),
            "accepted": self.accepted.height,
        }

    @property
    def told_findings(self) -> pl.DataFrame:
        """The findings, each field as a program gets it."""
        loads = ("observed_kg", "expected_kg")
        return self._reported(self._all_findings, REPORTED_FINDING).with_columns(
            pl.col("other_causes").fill_null([]), pl.col("ratio").round(4), pl.col(loads).round(3)
        )

    @property
    def _told_items(self) -> pl.DataFrame:
        """The items, each field as a program gets it."""
        kind = pl.col("kind").fill_null("other")
        single = pl.col("legs").is_null() & kind.is_in(["chain", "hook", "grab-hook"])
        items = self._with_columns_of_cells(self.matched).with_columns(
            kind,
            pl.when(single).then(1).otherwise("legs").alias("legs"),
            pl.col("wll_kg").round(3),
            pl.col("outcome").str.replace(" ", "_", literal=True),  # as `counts` calls it
            pl.when(pl.col("outcome") == "agree").then("agreed_id").alias("rating_id"),
            pl.when(pl.col("outcome") == "agree").then("agreed_known_by").alias("rating_known_by"),
        )
        return self._reported(items, REPORTED_ITEM)

    @property
    def _uncompared(self) -> pl.DataFrame:
        """The items not compared, each field as a program gets it."""
        items = self._with_columns_of_cells(self.matched)
        rows = items.filter(pl.col("outcome") == "not compared")
        rows = rows.with_columns(say_values(rows["why"]))
        unread = pl.concat_str(["why", "unread"], separator="; ", ignore_nulls=True)
        return self._reported(rows.with_columns(unread.alias("why")), REPORTED_UNCOMPARED)

    def _reported(self, told: pl.DataFrame, fields: Sequence[str]) -> pl.DataFrame:
        index = index_values(told.select("sheet", "row"), self.layouts)
        return told.with_columns(index.alias("index")).select(fields)

    def _with_columns_of_cells(self, items: pl.DataFrame) -> pl.DataFrame:
        """Give each item of a row that holds several the heading that its rating stands under."""
        of_a_matrix = [
            pl.col("sheet").eq_missing(pl.lit(layout.sheet.name, dtype=pl.String))
            & pl.col("wll_column").is_in([column.heading for column in layout.having("wll")])
            for layout in self.layouts
            if is_matrix(layout)
        ]
        beside = pl.col("wll_column").drop_nulls().n_unique().over("sheet", "row") > 1
        several = pl.any_horizontal(beside, *of_a_matrix)
        return items.with_columns(pl.when(several).then("wll_column").alias("column"))

    def failed(self, threshold: str) -> bool:
        """Whether a finding is at or above a severity."""
        worst = SEVERITIES[: SEVERITIES.index(threshold) + 1]
        return self.stock_findings["severity"].is_in(worst).any()

    def to_dict(self) -> dict[str, Any]:
        """The report as plain data; the contract of ``check --format json``."""
        lists = {name: frame.to_dicts() for name, frame in self.lists().items()}
        for finding in lists["findings"]:
            # a finding about a column or a block has rows in place of row
            del finding["row" if finding["rows"] is not None else "rows"]
        return self.head() | lists

    def to_json(self) -> str:
        """`to_dict` as JSON text: one finding, item and item not compared a line."""
        return "".join(self.json_pieces())

    def to_html(self) -> str:
        """The report as one page to look at, offline; what ``check --html`` writes.

        Raises
        ------
        MissingExtra
            The extra ``page`` is not installed.
        """
        from tallyhook.reporting.page import page_html

        return page_html(self)

    def to_xlsx(self, path: str | Path) -> None:
        """Write the list as a marked workbook; what ``check --xlsx`` writes.

        A list that is an XLSX or XLSM keeps its own sheets and formats.

        Raises
        ------
        TallyhookError
            The file cannot be written, or the extra ``export`` is not installed.
        """
        from tallyhook.reporting.workbook import write_workbook

        source = Path(self.file)
        write_workbook(self, path, source if source.is_file() else None)

    def json_pieces(self, more: Mapping[str, Any] | None = None) -> Iterator[str]:
        """Write the JSON text of the report, and of `more` beside it, piece by piece."""
        head = json.dumps(
            self.head() | dict(more or {}), indent=2, ensure_ascii=False, allow_nan=False
        )
        yield head.removesuffix("\n}")
        for name, frame in self.lists().items():
            yield f",\n  {json.dumps(name)}: ["
            for number, piece in enumerate(frame.iter_slices(PIECE)):
                yield ("," if number else "") + "\n    " + ",\n    ".join(json_records(piece))
            yield "\n  ]" if frame.height else "]"
        yield "\n}\n"

    def head(self) -> dict[str, Any]:
        """The report without its lists."""
        several = len(self.layouts) > 1
        return {
            "tool": "tallyhook",
            "version": __version__,
            "schema_version": SCHEMA_VERSION,
            "packages": dict(self.packages),
            "list": self._list(self.layouts[0]) | ({"sheet": None} if several else {}),
            **({"sheets": [self._list(layout) for layout in self.layouts]} if several else {}),
            "sheets_not_checked": [
                {"sheet": each.sheet, "row": each.row, "why": say(each.why), "state": each.state}
                for each in self.left_out
            ],
            "counts": self.counts,
            "compared": self.compared,
            "complete": self.complete,
            "incomplete": list(self.incomplete),
        }

    def lists(self) -> dict[str, pl.DataFrame]:
        """The findings, items and items not compared, each field as a program gets it."""
        return {
            "findings": self.told_findings,
            "items": self._told_items,
            "not_compared": self._uncompared,
        }

    def _list(self, layout: Layout) -> dict[str, Any]:
        seen = {
            c.role: {"heading": c.heading, "unit": c.unit}
            for c in reversed(layout.columns)
            if c.role != "ignore"
        }
        return {
            "file": layout.sheet.file,
            "sheet": layout.sheet.name,
            # 0 where the names of the columns stand in no row of the file
            "heading_row": layout.heading_row or None,
            "rows": layout.body.height,
            "passed_over": _counted(say_values(layout.skipped["why"])),
            "hidden_rows": layout.skipped.filter(pl.col("why") == HIDDEN_ROW)["row"].to_list(),
            "columns": dict(sorted(seen.items())),
        }


def _counted(values: pl.Series) -> dict[str, int]:
    return dict(sorted(values.drop_nulls().value_counts().iter_rows()))


def json_records(records: pl.DataFrame) -> pl.Series:
    """Write each record of one of `Report.lists` as JSON text."""
    whole = records.columns
    if "rows" not in whole:
        return records.select(_json(whole)).to_series()
    # a finding about a column or a block has rows in place of row
    one, many = ([c for c in whole if c != name] for name in ("rows", "row"))
    about_many = pl.col("rows").is_not_null()
    return records.select(pl.when(about_many).then(_json(many)).otherwise(_json(one))).to_series()


def _json(columns: Sequence[str]) -> pl.Expr:
    return pl.struct(columns).struct.json_encode()
