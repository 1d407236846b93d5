"""What the stock rules share: how a finding names its part, and which scheme a list follows."""

from __future__ import annotations

from typing import Any

import polars as pl
import pytest

from stock_items import example_items
from tallyhook.model.items import items_frame
from tallyhook.rules.stock import findings, plain, rating_findings
from tallyhook.rules.stock._forces import (
    by_system,
    over_rating,
    turns_on_a_shank,
    with_hoist_factor,
)
from tallyhook.rules.stock._lifting import never_for_lifting


def _item(**fields: Any) -> pl.DataFrame:
    return items_frame([{"row": 2} | fields])


@pytest.mark.parametrize(
    ("fields", "named"),
    [
        ({"item": "Chain", "size_mm": 10.0, "grade": 80}, "Chain, 10 mm, grade 80"),
        ({"item": "Chain", "size_mm": 5.5, "grade": 30}, "Chain, 5.5 mm, grade 30"),
        ({"item": "Chain 10 mm", "size_mm": 10.0, "grade": 80}, "Chain 10 mm, grade 80"),
        ({"item": "Chain G80", "size_mm": 10.0, "grade": 80}, "Chain G80, 10 mm"),
        ({"item": "Chain g 80", "size_mm": 10.0, "grade": 80}, "Chain g 80, 10 mm"),
        ({"item": "Chain, GRADE eighty", "grade": 80}, "Chain, GRADE eighty"),
        ({"item": "Chain", "size_mm": 10.0, "size_in": "3/8"}, "Chain, 3/8 in"),
        ({"item": "Chain 3/8", "size_mm": 10.0, "size_in": "3/8"}, "Chain 3/8"),
        ({"item": "Chain 10 mm", "size_mm": 10.0, "size_in": "3/8"}, "Chain 10 mm, 3/8 in"),
        ({"item": "Part 5x5", "size_mm": 5.5}, "Part 5x5, 5.5 mm"),
        ({"size_mm": 10.0, "grade": 80}, "10 mm, grade 80"),
        ({"item": "Hook"}, "Hook"),
        ({"item": "Kette, Klasse acht", "grade": 80}, "Kette, Klasse acht"),
        ({"item": "Gute Kette", "grade": 80}, "Gute Kette, grade 80"),  # good, and no grade
    ],
)
def test_a_finding_names_the_part_by_its_words_and_what_they_leave_out(
    fields: dict[str, Any], named: str
) -> None:
    found = findings(_item(**fields), column="wll", observed="this", expected="that")
    assert found["item"].to_list() == [named]


def test_a_finding_says_what_it_was_handed_and_nothing_else() -> None:
    item = _item(sheet="Chain", part="HP-7", item="Hook", wll_kg=100.0, latch="no")
    plain_one = findings(item, column="latch", observed=pl.col("latch"), expected="yes")
    filled = {k: v for k, v in plain_one.to_dicts()[0].items() if v is not None}
    assert filled == {
        "sheet": "Chain", "row": 2, "item": "Hook", "column": "latch", "observed": "no",
        "expected": "yes", "part": "HP-7",
    }  # fmt: skip
    whole = findings(
        item, column=pl.col("latch"), observed="o", expected=pl.col("item"), cause="rounded",
        ratio=pl.col("wll_kg") / 50, source=pl.col("sheet"), locator="table 3", note=pl.col("latch"),
        observed_kg=pl.col("wll_kg"), expected_kg=pl.col("wll_kg") / 4, rating_id=pl.lit("chain/x"),
    ).to_dicts()[0]  # fmt: skip
    assert whole == filled | {
        "column": "no", "observed": "o", "expected": "Hook", "cause": "rounded", "ratio": 2.0,
        "source": "Chain", "locator": "table 3", "note": "no", "part": "HP-7",
        "observed_kg": 100.0, "expected_kg": 25.0, "rating_id": "chain/x",
    }  # fmt: skip


def test_no_findings_have_the_same_columns_as_some() -> None:
    item = _item(item="Hook")
    some = findings(item, column="latch", observed="no", expected="yes")
    none = findings(item.clear(), column="latch", observed="no", expected="yes")
    assert none.schema == some.schema and none.is_empty()


def test_a_load_that_no_source_gives_is_told_beside_the_nearest_rating() -> None:
    item = _item(
        wll_text="4,000 lb", wll_kg=1814.4, wll_unit="lb", wll_column="WLL"
    ).with_columns(
        nearest_kg=pl.lit(3150.0), nearest_rating_id=pl.lit("chain/european/80/10mm"),
        nearest_value=pl.lit(3150.0), nearest_unit=pl.lit("kg"), nearest_source=pl.lit("en-818-2"),
        nearest_locator=pl.lit("table"), off_by=pl.lit(0.576),
    )  # fmt: skip
    found = rating_findings(item, cause="rounded", note="look").to_dicts()[0]
    assert found == {
        "sheet": None, "row": 2, "item": "", "column": "WLL", "observed": "4,000 lb",
        # 3,150 kg are 6,944.6 lb
        "expected": "6,944 lb (3,150 kg)", "ratio": 0.576, "source": "en-818-2",
        "locator": "table", "cause": "rounded", "note": "look", "part": None,
        "rating_id": "chain/european/80/10mm", "observed_kg": 1814.4, "expected_kg": 3150.0,
    }  # fmt: skip
    bare = rating_findings(item).to_dicts()[0]
    assert (bare["cause"], bare["note"]) == (None, None)


def test_a_number_is_written_without_a_needless_nought() -> None:
    loads = pl.DataFrame({"kg": [3000.0, 750.0, 10.5]})
    assert loads.select(plain("kg"))["kg"].to_list() == ["3000", "750", "10.5"]
    assert loads.select(plain("kg", per=1000))["kg"].to_list() == ["3", "0.75", "0.0105"]


# --- forces over ratings ---


def test_the_force_over_the_rating_of_the_parts_that_a_force_is_told_of(
    reference: pl.DataFrame, packages: Any
) -> None:
    row = {"grade": "80", "size_mm": "10", "wll": "3,150 kg", "breaking": "126 kN"}
    items = example_items(
        [
            {"row": "2", "kind": "chain"} | row,
            {"row": "3", "kind": "hook", "form": "self-closing", "connection": "eye"} | row,
            {"row": "4", "kind": "grab-hook", "cradle": "yes"} | row,
            {"row": "5", "kind": "sling", "legs": "1"} | row,
            {"row": "6", "kind": "chain"} | row | {"breaking": ""},
            {"row": "7", "kind": "chain"} | row | {"wll": ""},
            {"row": "8", "kind": "chain"} | row | {"wll": "12,600 kg"},  # contradicted
            {"row": "9", "kind": "chain"} | row | {"grade": ""},  # not compared
        ],
        reference,
    )
    read = over_rating(
        items,
        packages["chain"]["grades"],
        packages["grab-hooks"]["deductions"],
        force="breaking_kn",
        ratio="design_factor",
    )
    told = read.select("row", pl.col("found").round(3), "least", "most", pl.col("room").round(4))
    # 126 kN / (3,150 kg x 9.80665 N) is 4.079; grade 80 has factor 4 in every scheme (chain.grades);
    # a grab hook that loses a quarter breaks at 1 / 0.75 of its own factor
    assert list(told.iter_rows()) == [
        (2, 4.079, 4, 4, 1.0),
        (3, 4.079, 4, 4, 1.0),
        (4, 4.079, 4, 4, 1.3333),
        (9, 4.079, None, None, 1.0),
    ]


def test_a_ratio_lies_between_the_lowest_and_the_highest_of_the_schemes(
    reference: pl.DataFrame, packages: Any
) -> None:
    items = example_items(
        [{"row": "2", "kind": "chain", "grade": "80", "wll": "1 t", "proof": "20 kN"}], reference
    )
    read = over_rating(
        items,
        packages["chain"]["grades"],
        packages["grab-hooks"]["deductions"],
        force="proof_kn",
        ratio="proof_to_wll",
    )
    # ASTM A391: 2; EN 818-2: 2.5
    assert read.select("least", "most").row(0) == (2, 2.5)


def test_the_source_is_of_the_system_in_which_the_row_names_its_size() -> None:
    rows = pl.DataFrame(
        [
            ("3/8", "european", "american"),
            (None, "european", "american"),
            ("3/8", "european", None),
            (None, None, "american"),
        ],
        schema=["size_in", "metric_source", "inch_source"],
        orient="row",
    )
    told = rows.select(by_system("source").alias("told"))["told"].to_list()
    assert told == ["american", "european", "european", "american"]


@pytest.mark.parametrize(
    ("connection", "words", "turns"),
    [
        ("shank", "Hook", True),
        ("positioning-swivel", "Hook", True),
        ("bearing-swivel", None, True),
        ("eye", "Swivel hook", False),  # its own column says eye
        (None, "SWIVEL hoist hook", True),
        (None, "Wirbellasthaken", True),
        (None, "Crochet à émerillon", True),
        (None, "Crochet a emerillon", True),
        (None, "Gancho giratorio", True),
        (None, "Eye hoist hook", False),
        (None, None, False),
    ],
)
def test_a_hook_on_a_shank_or_a_swivel_is_known_by_its_connection_or_its_words(
    connection: str | None, words: str | None, turns: bool
) -> None:
    item = _item(connection=connection, item=words)
    assert item.select(turns_on_a_shank().alias("turns"))["turns"].to_list() == [turns]


@pytest.mark.parametrize(
    ("fields", "factor"),
    [
        # carbon eye hooks 5 (common practice, two listings); of the others one range has a factor
        ({"kind": "hook", "material": "alloy", "connection": "eye"}, None),
        ({"kind": "hook", "material": "alloy", "connection": "shank"}, None),
        ({"kind": "hook", "material": "carbon", "connection": "shank"}, None),
        ({"kind": "hook", "material": "carbon", "connection": "eye"}, 5.0),
        ({"kind": "hook", "material": "alloy", "size_mm": 10.0}, None),
        ({"kind": "hook", "material": "alloy", "grade": 80}, None),
        ({"kind": "chain", "material": "alloy"}, None),
        ({"kind": "hook"}, None),
    ],
)
def test_a_hoist_hook_has_the_design_factor_of_its_steel_and_connection(
    fields: dict[str, Any], factor: float | None, packages: Any
) -> None:
    found = with_hoist_factor(_item(**fields), packages["hooks"]["hoist-hooks"]).row(0, named=True)
    assert found["hoist_factor"] == factor
    said = (found["hoist_source"], found["hoist_locator"])
    family = "hoist hook family table: eye, shank and swivel hooks, 2010s to 2020s"
    assert said == (("common-practice", family) if factor else (None, None))


def test_a_series_from_memory_gives_no_design_factor() -> None:
    series = pl.DataFrame(
        {
            "material": ["alloy", "alloy", "alloy"],
            "known_by": ["recalled", "restated", "restated"],
            "design_factor_eye": [6.0, 4.5, 4.0],
            "design_factor_shank_swivel": [6.0, 4.0, 3.5],
            "source": ["memory", "table", "other table"],
            "locator": ["nowhere", "page 1", "page 2"],
        }
    )
    found = with_hoist_factor(_item(kind="hook", material="alloy", connection="eye"), series)
    assert found.select("hoist_factor", "hoist_source", "hoist_locator").row(0) == (
        4.5,
        "table",
        "page 1",
    )
    turning = with_hoist_factor(_item(kind="hook", material="alloy", connection="shank"), series)
    assert turning["hoist_factor"].to_list() == [4.0]  # the highest of its table


def test_a_grade_is_kept_from_lifting_only_where_every_scheme_keeps_it() -> None:
    grades = pl.DataFrame(
        [
            (43, False, "astm-a413", "1.1"),
            (43, False, "tie-down", "table"),
            (80, True, "en-818-1", "grades"),
            (80, False, "tie-down", "table"),
            (90, None, "catalogue", "says nothing"),
        ],
        schema=["grade", "overhead_lifting", "source", "locator"],
        orient="row",
    )
    assert never_for_lifting(grades).rows() == [(43, "astm-a413", "1.1")]


def test_the_grades_that_are_never_for_lifting(packages: Any) -> None:
    # ASTM A413/A413M-21, 1.1: grades 30, 43 and 70 are for other purposes than overhead lifting
    never = never_for_lifting(packages["chain"]["grades"])
    assert never["grade"].to_list() == [30, 43, 70]
    assert set(never["source"]) == {"astm-a413"}
