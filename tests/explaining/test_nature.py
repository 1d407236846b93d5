"""Every cause has one row and one function, and whoever forgets either is told."""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterator, Mapping

import polars as pl
import pytest

from tallyhook.errors import PackageError
from tallyhook.explaining.candidates import Knowledge
from tallyhook.explaining.mistakes import PREDICTED, SLIPS, Prediction
from tallyhook.explaining.mistakes.register import mistake
from tallyhook.explaining.nature import causes_of
from tallyhook.packages.package import Package
from tallyhook.rules import all_rules


@pytest.fixture
def table(packages: Mapping[str, Package]) -> pl.DataFrame:
    return packages["vocabulary"]["causes"]


def test_every_cause_has_one_row_and_one_function(table: pl.DataFrame) -> None:
    causes = causes_of(table)
    assert set(causes.by_name) == {*PREDICTED, *SLIPS, causes.unexplained.name}
    assert not set(PREDICTED) & set(SLIPS)


@pytest.mark.parametrize("name", sorted({*PREDICTED, *SLIPS}))
def test_a_cause_without_a_row_is_refused(name: str, table: pl.DataFrame) -> None:
    with pytest.raises(PackageError, match=f"{name}: it is predicted and not described"):
        causes_of(table.filter(pl.col("cause") != name))


def test_a_row_without_a_function_is_refused(table: pl.DataFrame) -> None:
    new = table.head(1).with_columns(pl.lit("misread-mark").alias("cause"))
    with pytest.raises(PackageError, match="misread-mark: it is described and nothing predicts"):
        causes_of(pl.concat([table, new]))


def test_a_refusal_says_where_to_look_and_what_to_do(table: pl.DataFrame) -> None:
    with pytest.raises(PackageError) as refused:
        causes_of(table.filter(pl.col("cause") != "rounded"))
    assert str(refused.value) == (
        "vocabulary.causes: the cause rounded: it is predicted and not described; "
        "give it one row there and one function in explaining/mistakes."
    )


def test_a_function_without_a_row_is_refused(
    table: pl.DataFrame, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tallyhook.explaining.mistakes.register.PREDICTED", dict(PREDICTED))

    def predict(*given: object) -> Iterator[Prediction]:
        yield from ()

    monkeypatch.setitem(PREDICTED, "misread-mark", mistake("misread-mark")(predict))
    with pytest.raises(PackageError, match="misread-mark: it is predicted and not described"):
        causes_of(table)


def test_no_number_is_left_unexplained_by_two_names(table: pl.DataFrame) -> None:
    for nature in ("unknown", "hand"):
        of_it = pl.when(pl.col("cause") == "rounded").then(pl.lit("unknown")).otherwise("nature")
        none = pl.col("nature").replace({"unknown": "hand"})
        with pytest.raises(PackageError):
            causes_of(table.with_columns((of_it if nature == "unknown" else none).alias("nature")))


def test_two_causes_of_no_nature_are_both_named(table: pl.DataFrame) -> None:
    rounded = pl.when(pl.col("cause") == "rounded").then(pl.lit("unknown")).otherwise("nature")
    with pytest.raises(PackageError, match="the cause rounded, unexplained: one cause"):
        causes_of(table.with_columns(rounded.alias("nature")))


def test_two_mistakes_that_meet_are_rarer_than_either(known: Knowledge) -> None:
    assert len(known.causes.pairs) == 8  # four mistakes of the unit, two of the line
    for unit, line, both in known.causes.pairs:
        assert both.name == f"{unit.name} and {line.name}"
        assert both.prior < 0.1 * min(unit.prior, line.prior)


def test_a_rule_names_causes_of_the_table(table: pl.DataFrame) -> None:
    named = set()
    for rule in all_rules("stock"):
        source = inspect.getsource(inspect.getmodule(rule.check) or rule.check)
        named |= set(re.findall(r'cause="([^"]+)"', source))
    assert named
    assert named <= set(table["cause"])
