"""Inches or millimetres, American or metric: what a list writes its sizes and loads in."""

from __future__ import annotations

import polars as pl
import pytest

from tallyhook.interpreting.habits import size_habits, system_of
from tallyhook.model.layout import Column, Layout
from tallyhook.model.sheet import Sheet


def listed(role: str, texts: list[str], *, unit: str | None = None, **more: str) -> Layout:
    body = pl.DataFrame({"row": range(2, len(texts) + 2), "c0": texts})
    return Layout(
        sheet=Sheet(file="list.csv", name=None, frame=body),
        heading_row=1,
        columns=(Column(column="c0", heading=role, role=role, why="", unit=unit),),
        body=body,
        skipped=pl.DataFrame(schema={"row": pl.Int64, "why": pl.String}),
        **more,  # type: ignore[arg-type]
    )


@pytest.mark.parametrize(
    ("texts", "inch", "metric"),
    [
        # common practice of lists, no source
        (["3/8", "1/2"], True, False),
        (['2"', '1"'], True, False),
        (["2 in", "1 in"], True, False),
        (["2 Zoll"], True, False),
        (["10 mm", "13 mm"], False, True),
        (["10 MM"], False, True),
        (["10", "13"], False, True),
        (["10,5"], False, True),
        (["3/8", "10"], True, True),
        (["2", "90"], False, False),
    ],
)
def test_a_size_column_holds_inches_or_millimetres(
    texts: list[str], inch: bool, metric: bool
) -> None:
    layout = listed("size", texts)
    found = size_habits(layout, list(layout.columns))
    assert found == ({"c0": inch}, {"c0": metric})


def test_a_unit_of_millimetres_goes_before_a_fraction() -> None:
    layout = listed("size", ["3/8"], unit="mm")
    assert size_habits(layout, list(layout.columns)) == ({"c0": False}, {"c0": True})


@pytest.mark.parametrize(
    ("texts", "wanted"),
    [
        (["Chain 3/8 G80"], "us"),
        (["Hook 7100 lbs"], "us"),
        (["Hook 7100 pounds"], "us"),
        (["Crochet 7100 livres"], "us"),
        (["Haken 3150 Kilogramm"], "metric"),
        (["Haken 10mm"], "metric"),
        (["Haken 31 kN"], "metric"),
        (["Hook 7100 lb (3220 kg)"], None),
        (["Hook"], None),
    ],
)
def test_descriptions_say_which_system_a_list_follows(texts: list[str], wanted: str | None) -> None:
    assert system_of(listed("description", texts), False, False) == wanted


def test_sizes_go_before_units_and_units_before_the_decimal_mark() -> None:
    pounds = listed("wll", ["1"], unit="lb", decimal=",")
    assert system_of(pounds, False, True) == "metric"
    assert system_of(pounds, True, True) is None
    assert system_of(pounds, False, False) == "us"
    assert system_of(listed("wll", ["1"], decimal=","), False, False) == "metric"
    assert system_of(listed("wll", ["1"], decimal="."), False, False) is None
