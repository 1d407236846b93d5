"""The stock rules are run over the items: what each is handed, and what becomes of its findings."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

import polars as pl
import pytest

from stock_items import example_items
from tallyhook.model.distinct import DistinctItems, distinct_items
from tallyhook.model.items import items_frame
from tallyhook.packages.package import Package
from tallyhook.rules import Rule, judge
from tallyhook.rules.contradictions import contradicting_rows
from tallyhook.rules.stock import findings


def _listed(*rows: dict[str, Any]) -> DistinctItems:
    return distinct_items(items_frame({"row": n} | row for n, row in enumerate(rows, start=2)))


def _rule(name: str, check: Callable[..., pl.DataFrame], **marks: Any) -> Rule:
    plain: dict[str, Any] = {"severity": "error", "reads": ("items",), "instead_of": ()}
    return Rule(
        name=name, kind="stock", since="0.1.0", title="", sections={}, check=check, **plain | marks
    )


def _says(column: str | None, observed: str = "seen") -> Callable[[pl.DataFrame], pl.DataFrame]:
    return lambda items: findings(items, column=pl.lit(column), observed=observed, expected="other")


@pytest.fixture
def run(
    monkeypatch: pytest.MonkeyPatch, reference: pl.DataFrame, packages: dict[str, Package]
) -> Callable[..., judge.Judgement]:
    def judged(listed: DistinctItems, *rules: Rule) -> judge.Judgement:
        monkeypatch.setattr(judge, "all_rules", lambda kind: rules if kind == "stock" else ())
        contradicting = partial(contradicting_rows, listed.rows)
        return judge.judge(listed.distinct, contradicting, reference, packages, file="shop.csv")

    return judged


def test_a_rule_that_crashes_is_named_and_the_others_still_run(run: Any) -> None:
    def crash(items: pl.DataFrame) -> pl.DataFrame:
        raise ValueError("no such number")

    done = run(
        _listed({"item": "Chain"}, {"item": "Hook"}),
        _rule("it-crashes", crash),
        _rule("it-says-nothing", lambda items: items.clear().select("row")),
        _rule("it-speaks", _says("wll"), severity="danger"),
    )
    assert done.crashed == {"it-crashes": "ValueError: no such number"}
    filled = {
        "rule": "it-speaks", "severity": "danger", "file": "shop.csv", "column": "wll",
        "observed": "seen", "expected": "other",
    }  # fmt: skip
    told = [{k: v for k, v in row.items() if v is not None} for row in done.findings.to_dicts()]
    assert told == [filled | {"item": "Chain", "key": 0}, filled | {"item": "Hook", "key": 1}]


def test_a_rule_is_handed_each_different_item_once_and_the_tables_that_it_reads(
    run: Any, reference: pl.DataFrame, packages: dict[str, Package]
) -> None:
    handed: list[pl.DataFrame] = []

    def note(*tables: pl.DataFrame) -> pl.DataFrame:
        handed.extend(tables)
        return tables[0].clear().select("row")

    listed = _listed({"item": "Chain", "part": "A"}, {"item": "Hook"}, {"item": "Chain"})
    read = ("items", "reference", "chain.grades", "hooks.forms")
    done = run(listed, _rule("it-reads", note, reads=read))
    assert done.crashed == {}
    items, *rest = handed
    assert list(items.select("item", "times", "part").iter_rows()) == [
        ("Chain", 2, None),
        ("Hook", 1, None),
    ]
    assert rest[0] is reference
    assert rest[1].equals(packages["chain"]["grades"])
    assert rest[2].equals(packages["hooks"]["forms"])


def test_a_rule_may_ask_how_the_items_would_be_read_otherwise(
    run: Any, reference: pl.DataFrame
) -> None:
    handed: list[pl.DataFrame] = []

    def note(items: pl.DataFrame, others: pl.DataFrame) -> pl.DataFrame:
        handed.append(others)
        return items.clear().select("row")

    tons = {"kind": "chain", "grade": "80", "size_mm": "10", "wll": "3.55 tons", "row": "2"}
    listed = distinct_items(example_items([tons], reference).drop("times"))
    assert run(listed, _rule("it-asks", note, reads=("items", "readings"))).crashed == {}
    assert list(handed[0].select("row", "reading", "outcome").iter_rows()) == [
        (0, "short-ton", "agree"),  # by the key of the item; 7,100 lb (49 CFR 393.108)
        (0, "tonne", "contradicted"),
    ]


def test_a_rule_across_parts_is_handed_the_rows_whose_part_holds_two_items(run: Any) -> None:
    names = [f"P-{n}" for n in range(40)]  # enough for every share of the hashes
    rows = [{"part": p, "item": "Chain"} for p in names]
    rows += [{"part": p, "item": "Hook"} for p in names[::2]]
    rows += [{"part": p, "item": "Chain"} for p in names[1::4]]  # twice the same is no two
    rows += [{"item": "Chain"}, {"item": "Hook"}]  # and no part is no part
    handed: list[pl.DataFrame] = []

    def note(items: pl.DataFrame) -> pl.DataFrame:
        handed.append(items)
        return findings(items.head(1), column="part", observed="seen", expected="other")

    done = run(_listed(*rows), _rule("it-compares", note, across="part"))
    assert sorted(handed[0].select("part", "item").iter_rows()) == sorted(
        (p, item) for p in names[::2] for item in ("Chain", "Hook")
    )
    assert done.findings.select("row", "key").row(0) == (2, None)


def test_one_part_alone_is_enough(run: Any) -> None:
    seen: list[int] = []

    def note(items: pl.DataFrame) -> pl.DataFrame:
        seen.extend(items["row"])
        return items.clear().select("row")

    listed = _listed({"part": "A", "item": "Chain"}, {"part": "A", "item": "Hook"}, {"part": "B"})
    run(listed, _rule("it-compares", note, across="part"))
    assert seen == [2, 3]


def test_no_row_is_handed_where_no_part_holds_two_items(run: Any) -> None:
    seen: list[int] = []

    def note(items: pl.DataFrame) -> pl.DataFrame:
        seen.append(items.height)
        return items.clear().select("row")

    run(_listed({"part": "A"}, {"part": "B"}), _rule("it-compares", note, across="part"))
    run(_listed({"part": "A"}, {"part": "A"}), _rule("it-compares", note, across="part"))
    assert seen == [0, 0]


def test_a_more_specific_rule_replaces_another_on_its_row_and_column_alone(run: Any) -> None:
    def of_hooks(column: str | None) -> Callable[[pl.DataFrame], pl.DataFrame]:
        return lambda items: _says(column, "specific")(items.filter(pl.col("item") == "Hook"))

    listed = _listed({"item": "Chain"}, {"item": "Hook"})
    plain = (_rule("wide", _says("wll")), _rule("bare", _says(None)))
    done = run(
        listed,
        *plain,
        _rule("narrow", of_hooks("wll"), instead_of=("wide", "bare")),
        _rule("narrow-bare", of_hooks(None), instead_of=("bare",)),
    )
    assert list(done.findings.select("rule", "item").iter_rows()) == [
        ("wide", "Chain"),
        ("bare", "Chain"),
        ("narrow", "Hook"),
        ("narrow-bare", "Hook"),
    ]
    alone = run(listed, *plain)
    assert alone.findings.height == 4


def test_findings_about_items_go_to_every_row_that_holds_them_in_the_usual_order(run: Any) -> None:
    listed = _listed({"item": "Hook"}, {"item": "Chain"}, {"item": "Hook"}, {"item": "Link"})

    def on(name: str) -> Callable[[pl.DataFrame], pl.DataFrame]:
        return lambda items: _says("wll")(items.filter(pl.col("item") == name))

    def twice(items: pl.DataFrame) -> pl.DataFrame:
        return pl.concat([on("Chain")(items), on("Chain")(items)]).with_columns(
            pl.Series("observed", ["first", "second"])
        )

    def about_a_row(items: pl.DataFrame) -> pl.DataFrame:
        return pl.DataFrame(
            {"row": [5], "observed": ["by row"]}, schema_overrides={"row": pl.Int64}
        )

    done = run(
        listed,
        _rule("b-hooks", on("Hook"), severity="warning"),
        _rule("a-chains", twice, severity="warning"),
        _rule("c-danger", on("Hook"), severity="danger"),
        _rule("d-parts", about_a_row, severity="error", across="part"),
    )
    told = judge.findings_by_row(done.findings, listed)
    assert list(told.select("rule", "row", "observed", "key").iter_rows()) == [
        ("c-danger", 2, "seen", 0),
        ("c-danger", 4, "seen", 0),
        ("d-parts", 5, "by row", None),
        ("b-hooks", 2, "seen", 0),
        ("a-chains", 3, "first", 1),
        ("a-chains", 3, "second", 1),
        ("b-hooks", 4, "seen", 0),
    ]


def test_the_worst_comes_first_then_the_row_then_the_rule() -> None:
    told = pl.DataFrame(
        {
            "severity": ["note", "error", "danger", "error", "warning", "error", "error"],
            "row": [1, 9, 9, 3, 2, None, 3],
            "rule": ["a", "a", "a", "z", "a", "b", "c"],
        }
    )
    assert list(judge.sort_findings(told).iter_rows()) == [
        ("danger", 9, "a"),
        ("error", None, "b"),  # of the whole list: before its rows
        ("error", 3, "c"),
        ("error", 3, "z"),
        ("error", 9, "a"),
        ("warning", 2, "a"),
        ("note", 1, "a"),
    ]
