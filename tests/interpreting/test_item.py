"""Rows into items. Loads are those of 49 CFR 393.108 (table of chain) and EN 818-2 and -4 unless said."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

import polars as pl
import pytest

from tallyhook.interpreting import reader
from tallyhook.interpreting.list_items import items_of_layouts
from tallyhook.model.items import ITEM_SCHEMA
from tallyhook.model.layout import Column, Layout
from tallyhook.model.sheet import Sheet


def column(role: str, **more: Any) -> dict[str, Any]:
    return {"role": role, "heading": role, **more}


def layout(
    columns: Sequence[dict[str, Any]],
    rows: Sequence[Sequence[str]],
    *,
    section: str | None = None,
    decimal: str | None = None,
    name: str | None = None,
) -> Layout:
    names = [f"c{k}" for k in range(len(columns))]
    body = pl.DataFrame(
        {"row": list(range(2, len(rows) + 2))}
        | {n: [r[k] for r in rows] for k, n in enumerate(names)}
        | {"section": [section] * len(rows)},
        schema={"row": pl.Int64, **dict.fromkeys(names, pl.String), "section": pl.String},
    )
    return Layout(
        sheet=Sheet(file="list.csv", name=name, frame=body.drop("section")),
        heading_row=1,
        columns=tuple(Column(column=n, why="", **c) for n, c in zip(names, columns, strict=True)),
        body=body,
        skipped=pl.DataFrame(schema={"row": pl.Int64, "why": pl.String}),
        decimal=decimal,
    )


def interpret(recognised: Layout) -> pl.DataFrame:
    return items_of_layouts([recognised]).items()


def first(columns: Sequence[dict[str, Any]], row: Sequence[str], **more: Any) -> dict[str, Any]:
    return interpret(layout(columns, [row], **more)).row(0, named=True)


def test_the_schema_is_the_items() -> None:
    items = interpret(
        layout([column("description"), column("wll", unit="lb")], [["chain", "7,100"]])
    )
    assert dict(items.schema) == {k: v() for k, v in ITEM_SCHEMA.items()}


def test_columns_and_words_make_one_item() -> None:
    item = first(
        [
            column("part"),
            column("supplier"),
            column("description"),
            column("size"),
            column("grade"),
            column("wll", unit="lb", heading="WLL (lbs)"),
            column("wll", unit="kg", heading="WLL kg"),
            column("breaking", unit="lb"),
        ],
        ["A-1", "Shop", "Clevis grab hook w/ cradle", "3/8", "80", "7,100", "3,200", "28,400"],
        decimal=".",
        name="Hooks",
    )
    said = {
        k: v
        for k, v in item.items()
        if v is not None and k not in ("wll_kg", "wll_step_kg", "breaking_kn")
    }
    assert said == {
        "row": 2, "sheet": "Hooks", "part": "A-1", "supplier": "Shop", "item": "Clevis grab hook w/ cradle",
        "kind": "grab-hook", "form": "cradle-grab", "connection": "clevis", "size_mm": 10.0, "size_in": "3/8", "grade": 80,
        "wll_value": 7100.0, "wll_unit": "lb", "wll_text": "7,100 lb", "wll_column": "WLL (lbs)",
        "wll2_kg": 3200.0, "wll2_unit": "kg", "wll2_text": "3,200 kg", "wll2_column": "WLL kg",
        "breaking_text": "28,400 lb", "breaking_column": "breaking", "cradle": "yes",
    }  # fmt: skip
    assert item["wll_kg"] == pytest.approx(7100 * 0.45359237)
    assert item["breaking_kn"] == pytest.approx(28400 * 0.45359237 * 9.80665 / 1000)


def test_the_description_fills_what_the_columns_leave_open() -> None:
    item = first(
        [column("description"), column("size"), column("wll", unit="lb")],
        ['Chain G80 3/8" 7,100 lb', "", ""],
        decimal=".",
    )
    assert (item["size_in"], item["grade"], item["wll_value"], item["wll_column"]) == (
        "3/8",
        80,
        7100,
        "description",
    )


def test_a_column_goes_before_the_description_and_the_disagreement_is_told() -> None:
    item = first(
        [column("description"), column("size"), column("grade"), column("wll", unit="lb")],
        ["1/2 G100 chain WLL 15,000 lb", "3/8", "80", "7,100"],
    )
    assert (item["size_in"], item["grade"], item["wll_value"]) == ("3/8", 80, 7100)
    assert item["unread"].split("; ") == [
        "wll: description says 15,000 lb and the column says 7,100 lb",
        "grade: description says 100 and the column says 80",
        "size: description says 1/2 and the column says 3/8",
    ]
    assert json.loads(item["contradictions"]) == [
        {"field": "wll", "described": "15,000 lb", "column": "7,100 lb"},
        {"field": "grade", "described": "100", "column": "80"},
        {"field": "size", "described": "1/2", "column": "3/8"},
    ]


def test_what_only_looks_different_is_no_disagreement() -> None:
    item = first(
        [column("description"), column("size"), column("grade"), column("wll", unit="kg")],
        ['chain 3/8" Gr. 8 WLL 7,100 lb', "10 mm", "T(8)", "3200"],
    )
    assert item["unread"] is None


def test_the_section_speaks_for_rows_that_do_not() -> None:
    columns = [column("description"), column("size"), column("wll", unit="lb")]
    items = interpret(
        layout(
            columns,
            [["Clevis grab hook", "3/8", "7,100"], ["Clevis grab hook G70", "3/8", "6,600"]],
            section="GRADE 80 FITTINGS",
        )
    )
    assert items["grade"].to_list() == [80, 70]
    assert items["kind"].to_list() == ["grab-hook", "grab-hook"]
    assert first(columns, ["", "3/8", "7,100"], section="Grade 80 chain")["kind"] == "chain"
    assert (
        first(columns, ["", "3/8", "7,100"], section="Grade 80 chain and fittings")["kind"] is None
    )


def test_a_matrix_gives_one_item_a_cell() -> None:
    columns = [
        column("size"),
        *(column("wll", unit="lb", gives={"grade": g}) for g in ("30", "80", "100")),
    ]
    items = interpret(
        layout(
            columns,
            [["5/16", "1,900", "4,500", "5,700"], ["7/16", "3,700", "-", ""], ["1/2", "", "-", ""]],
            section="Chain",
        )
    )
    assert items.select("row", "size_mm", "grade", "wll_value").rows() == [
        (2, 8, 30, 1900),
        (2, 8, 80, 4500),
        (2, 8, 100, 5700),
        (3, 11, 30, 3700),
        (4, 13, None, None),  # a row without any rating is an item without one
    ]
    assert set(items["kind"]) == {"chain"}


def test_a_sling_chart_gives_legs_and_angles() -> None:
    columns = [
        column("size", unit="mm"),
        column("wll", unit="t", gives={"legs": "1"}),
        column("wll", unit="t", gives={"legs": "2", "angle": "0-45"}),
        column("wll", unit="t", gives={"legs": "2", "angle": "45-60"}),
        column("wll", unit="t", gives={"legs": "3-4", "angle": "0-45"}),
    ]
    items = interpret(
        layout(
            columns, [["10", "3,15", "4,25", "3,15", "6,7"]], section="Güteklasse 8", decimal=","
        )
    )
    assert items.select("kind", "legs", "angle_from_deg", "angle_to_deg", "wll_kg").rows() == [
        ("sling", 1, None, None, 3150), ("sling", 2, 0, 45, 4250), ("sling", 2, 45, 60, 3150), ("sling", None, 0, 45, 6700),
    ]  # fmt: skip


def test_seven_eighths_is_settled_by_the_row_or_the_column() -> None:
    columns = [column("description"), column("size"), column("wll", unit="kg")]
    assert first(columns, ["Hook G8", "7/8", "2000"])["size_mm_to"] == 8
    assert first(columns, ["Hook G80", "7/8", "15500"])["size_in"] == "7/8"
    rows = [["Hook G80", "7/8", ""], ["Hook G80", "3/8", ""]]
    assert interpret(layout(columns, rows))["size_in"].to_list() == ["7/8", "3/8"]
    rows = [["Haken", "7/8", ""], ["Haken", "10", ""], ["Haken", "13", ""]]
    assert interpret(layout(columns, rows))["size_mm"].to_list() == [7, 10, 13]
    item = first(columns, ["Hook", "7/8", ""])
    assert item["size_mm"] is None and "7/8" in item["unread"]


def test_a_bare_ton_is_settled_by_the_second_unit_of_any_row() -> None:
    columns = [column("description"), column("wll", unit="ton"), column("wll", unit="lb")]
    items = interpret(layout(columns, [['chain 3/8"', "3.55", "7,100"], ['chain 1/2"', "6", ""]]))
    assert items["wll_unit"].to_list() == ["short ton", "short ton"]
    assert items["wll_kg"].to_list() == pytest.approx([7100 * 0.45359237, 12000 * 0.45359237])
    assert items["unread"].to_list() == [None, None]
    item = first(columns, ['chain 1/2"', "6", ""])
    assert (item["wll_value"], item["wll_unit"], item["wll_kg"]) == (
        6,
        "ton",
        None,
    ) and "short tons" in item["unread"]


def test_a_pair_rating_is_told_and_not_taken_for_one() -> None:
    item = first(
        [column("description"), column("wll", unit="lb")], ["Barrel hook", "1,000 per pair"]
    )
    assert (item["pair"], item["wll_kg"], item["wll_value"]) == ("yes", None, 1000)


def test_a_unit_column_gives_the_unit() -> None:
    columns = [column("description"), column("wll", unit_column="c2"), column("unit")]
    items = interpret(
        layout(columns, [["chain", "7100", "lbs"], ["chain", "3.15", "t"], ["chain", "7100", "?"]])
    )
    assert items["wll_unit"].to_list() == ["lb", "t", None]


def test_a_shackle_has_no_chain_size_or_grade() -> None:
    item = first(
        [column("description"), column("size"), column("grade"), column("wll", unit="t")],
        ["Bow shackle", "7/8", "6", "6.5"],
    )
    assert (item["kind"], item["size_mm"], item["grade"], item["wll_kg"]) == (
        "other",
        None,
        None,
        6500,
    )


def test_flags_have_columns_of_their_own() -> None:
    columns = [
        column("description"),
        column("cradle"),
        column("latch"),
        column("swivel"),
        column("overhead"),
        column("hitch"),
        column("design_factor"),
    ]
    item = first(columns, ["Eye grab hook", "yes", "no", "ball bearing", "N", "", "4:1"])
    found = {k: item[k] for k in ("form", "cradle", "latch", "swivel", "overhead", "design_factor")}
    assert found == {
        "form": "cradle-grab",
        "cradle": "yes",
        "latch": "no",
        "swivel": "bearing",
        "overhead": "no",
        "design_factor": 4,
    }


def test_doubtful_fields_are_null_and_say_why() -> None:
    item = first(
        [column("size"), column("grade"), column("wll", unit="t")], ["8-10", "alloy", "1.12 - 15"]
    )
    assert (item["size_mm"], item["grade"], item["wll_kg"]) == (None, None, None)
    assert [clause.split(":")[0] for clause in item["unread"].split("; ")] == [
        "wll",
        "grade",
        "size",
    ]


def test_a_cell_that_a_spreadsheet_turned_into_a_date_is_not_a_size() -> None:
    assert (
        first([column("size"), column("wll", unit="lb")], ["2026-03-08", "7100"])["size_mm"] is None
    )


def test_each_distinct_text_is_interpreted_once(monkeypatch: pytest.MonkeyPatch) -> None:
    calls: list[str] = []
    true = reader.describe
    monkeypatch.setattr(
        reader, "describe", lambda text, **how: calls.append(text) or true(text, **how)
    )
    rows = [[f'Chain 3/8" G80 no {k % 20}', str(1000 + k % 50)] for k in range(5000)]
    items = interpret(layout([column("description"), column("wll", unit="lb")], rows))
    assert items.height == 5000 and items["row"].to_list() == list(range(2, 5002))
    assert len(calls) == len(set(calls)) == 20


def test_a_size_that_is_not_the_chains_is_not_taken_for_it() -> None:
    row = ["Master link G80", "1", "26,300"]
    item = first([column("description"), column("size"), column("wll", unit="lb")], row)
    assert item["kind"] == "link" and item["size_mm"] is None
    item = first(
        [
            column("description"),
            column("size", unit="in", heading="Chain size"),
            column("wll", unit="lb"),
        ],
        row,
    )
    assert item["size_mm"] == 26


def test_a_thing_of_unknown_name_is_not_called_what_the_section_is() -> None:
    columns = [column("description"), column("size"), column("wll", unit="lb")]
    rows = [
        ["Zinc plated, 400 ft drum", "3/8", "7,100"],
        ["Widgetlock", "3/8", "7,100"],
        ["AB-12 black", "3/8", "7,100"],
    ]
    items = interpret(layout(columns, rows, section="GRADE 80 CHAIN"))
    assert items["kind"].to_list() == ["chain", None, "chain"]
    assert items["grade"].to_list() == [80, 80, 80]


def test_the_section_gives_the_size_when_the_row_has_none() -> None:
    columns = [column("description"), column("wll", unit="lb")]
    rows = [["Chain G70", "6,600"], ["Chain G70 1/2 in", "11,300"], ["Chain G70 8-10", "4,700"]]
    items = interpret(layout(columns, rows, section="3/8 in chain"))
    assert items["size_in"].to_list() == ["3/8", "1/2", None]


# EN 818-4 counts the angle of a leg from the vertical and knows no more than 60 degrees; American
# charts count from the horizontal and go down to 30 (facts/us-sling-rules.csv, S01)
@pytest.mark.parametrize(
    ("text", "angle", "either"),
    [
        ("10 mm G8 chain sling 2 leg", "60", (60, None, None)),  # a European grade mark
        ("10 mm G8 chain sling 2 leg", "30", (30, None, None)),
        ("10 mm grade 80 chain sling 2 leg", "60", (None, 60, 30)),
        ("10 mm grade 80 chain sling 2 leg", "30", (None, 30, 60)),
        ("10 mm grade 80 chain sling 2 leg", "60 to the horizontal", (30, None, None)),
        ("10 mm grade 80 chain sling 2 leg", "45", (45, None, None)),
        ("10 mm grade 80 chain sling 2 leg", "20", (20, None, None)),  # too flat for the other
        ("10 mm grade 80 chain sling 2 leg", "120", (60, None, None)),  # only between two legs
        ("3/8 in grade 80 chain sling 2 leg", "60", (30, None, None)),  # an American list
        ("3/8 in grade 8 chain sling 2 leg", "60", (30, None, None)),
    ],
)
def test_a_bare_angle_counts_from_the_line_of_its_scheme(
    text: str, angle: str, either: tuple[float | None, ...]
) -> None:
    unit = "lb" if "3/8" in text else "t"
    columns = [column("description"), column("angle"), column("wll", unit=unit)]
    item = first(columns, [text, angle, "3.15"])
    keys = ("angle_to_deg", "angle_if_vertical_deg", "angle_if_horizontal_deg")
    assert tuple(item[key] for key in keys) == either


@pytest.mark.parametrize(
    ("cell", "wanted"),
    [
        # common practice of lists, no source
        ("bearing", "bearing"),
        ("Ball bearing", "bearing"),
        ("non-bearing", "positioning"),
        ("Positioning", "positioning"),
        ("mit Kugellager", "bearing"),
        ("yes", None),
    ],
)
def test_the_heading_says_that_a_bearing_is_that_of_the_swivel(
    cell: str, wanted: str | None
) -> None:
    columns = [column("description"), column("swivel"), column("wll", unit="lb")]
    assert first(columns, ["Swivel hook 3/8 G80", cell, "7,100"])["swivel"] == wanted


@pytest.mark.parametrize(
    ("cell", "wanted"),
    [
        ("4", 4),
        ("5:1", 5),
        ("4 to 1", 4),
        ("4 zu 1", None),
        ("4:2", None),
        ("1", None),
        ("40", None),
    ],
)
def test_a_design_factor_is_a_ratio_to_one(cell: str, wanted: float | None) -> None:
    columns = [column("description"), column("design_factor"), column("wll", unit="lb")]
    assert first(columns, ["Chain 3/8 G80", cell, "7,100"])["design_factor"] == wanted
