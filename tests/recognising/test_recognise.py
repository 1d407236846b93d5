"""Columns and rows told apart: by heading, by cells, and nothing where neither settles it.

The lists are invented (Harrow & Pike Rigging); what each column is was decided by hand. That a
price, a weight or a quantity never becomes a rating is the point of most of these tests.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path

import openpyxl
import polars as pl
import pytest

from tallyhook.errors import StockListError
from tallyhook.model.sheet import check_shape
from tallyhook.reading.lists import Sheet, read_list
from tallyhook.reading.text import text_frame
from tallyhook.recognising.decimals import evidence, settle
from tallyhook.recognising.headings import read_heading, unit_of
from tallyhook.recognising.profiles import (
    apply_profile,
    load_profile,
    profile_from_layout,
    save_profile,
)
from tallyhook.recognising.recognise import Layout, recognise, recognise_all


def sheet(text: str) -> Sheet:
    frame, _ = text_frame(text.strip("\n") + "\n", "list")
    return Sheet(file="list", name=None, frame=check_shape(frame, "list"))


def workbook(
    tmp_path: Path, rows: Sequence[Sequence[object]], *merged: str, title: str = "Sheet1"
) -> Sheet:
    book = openpyxl.Workbook()
    book.active.title = title
    for row in rows:
        book.active.append(list(row))
    for cells in merged:
        book.active.merge_cells(cells)
    book.save(tmp_path / "list.xlsx")
    (found,) = read_list(tmp_path / "list.xlsx")
    return found


def roles(layout: Layout) -> dict[str, str]:
    return {c.heading: f"{c.role} {c.unit}" if c.unit else c.role for c in layout.columns}


def gives(layout: Layout) -> list[dict[str, str]]:
    return [dict(c.gives) for c in layout.having("wll")]


def body(layout: Layout) -> list[int]:
    return layout.body["row"].to_list()


@pytest.mark.parametrize(
    ("heading", "role", "unit"),
    [
        ("WLL (lbs)", "wll", "lb"),
        ("W.L.L. [t]", "wll", "t"),
        ("wll_kg", "wll", "kg"),
        ("Safe Working Load, tonnes", "wll", "t"),
        ("Rated Capacity (Metric Tons)", "wll", "t"),
        ("Working Load Limit in Tons", "wll", "ton"),  # which ton is not said
        ("SWL (T)", "wll", "ton"),
        ("TRAGFÄHIGKEIT T", "wll", "t"),  # the German heading says which
        ("Max. Tragfähigkeit kg", "wll", "kg"),
        ("Hakentragfähigkeit kN", "wll", "kN"),
        ("C.M.U. (kg)", "wll", "kg"),
        ("CMT (t)", "wll", "t"),
        ("Carga máxima de trabajo", "wll", None),
        ("Min. Breaking Load (kN)", "breaking", "kN"),
        ("Mindestbruchkraft kN", "breaking", "kN"),
        ("Charge de rupture", "breaking", None),
        ("Prüfkraft", "proof", None),
        ("Proof Test lb", "proof", "lb"),
        ("Chain Size (in.)", "size", "in"),
        ("Nenngröße mm", "size", "mm"),
        ("Ø chaîne (mm)", "size", "mm"),
        ("Güteklasse", "grade", None),
        ("Neigungswinkel", "angle", None),
        ("Nombre de brins", "legs", None),
        ("Price per WLL", "ignore", None),
        ("Weight (lbs)", "ignore", "lb"),
        ("Kettengewicht kg", "ignore", "kg"),
        ("Max Load Height", "ignore", None),
        ("Lashing capacity LC daN", "ignore", "daN"),
        ("Qty on hand", "ignore", None),
        ("Throat Opening (in)", "ignore", "in"),
        ("Part #", "part", None),
        ("Wibble", None, None),
    ],
)
def test_headings(heading: str, role: str | None, unit: str | None) -> None:
    reading = read_heading(heading)
    assert (reading.role("en"), reading.unit) == (role, unit)


@pytest.mark.parametrize(
    ("heading", "expected"),
    [
        ("Grade 80", {"grade": "80"}),
        ("G100", {"grade": "100"}),
        ("2-leg 0-45°", {"legs": "2", "angle": "0-45"}),
        ("3- und 4-strängig", {"legs": "3-4"}),
        ("Triple & Quad 60°", {"legs": "3-4", "angle": "60"}),
        ("WLL 5:1 (lb)", {"design_factor": "5"}),
        ("Choker hitch", {"hitch": "choke"}),
        ("1-1/4", {"size": "1-1/4"}),
        ("10 mm", {"size": "10 mm"}),
        ("Price 2024", {}),
    ],
)
def test_what_a_heading_fixes(heading: str, expected: dict[str, str]) -> None:
    assert read_heading(heading).gives == expected


def test_units_by_themselves() -> None:
    assert [unit_of(t) for t in ("lbs.", "(kN)", "T", "t", '"', "ea", "to")] == [
        "lb",
        "kN",
        "ton",
        "t",
        "in",
        None,
        "t",
    ]


def test_cells_overrule_a_heading() -> None:
    layout = recognise(sheet("Part,Size,Grade\nA,7100 lb,80\nB,12000 lb,80\nC,18100 lb,80"))
    assert roles(layout) == {"Part": "part", "Size": "wll", "Grade": "grade"}
    with pytest.raises(StockListError, match="no column can be the rated load"):
        recognise(sheet("Item,Size,WLL\nHook,3/8,red\nHook,1/2,blue"))


@pytest.mark.parametrize(
    "heading",
    [
        "Price",
        "Weight",
        "Qty",
        "Throat opening",
        "Stock",
        "Gewicht kg",
        "Prix HT",
        "Peso",
        "Wibble",
        "kg",
    ],
)
def test_no_other_number_becomes_a_rating(heading: str) -> None:
    with pytest.raises(StockListError, match="no column can be the rated load"):
        recognise(sheet(f"Item,Size,{heading}\nHook,3/8,7100\nHook,1/2,12000\nHook,5/8,18100"))


@pytest.mark.parametrize("cell", ["1.4 lb", "3 kg", "12.5 kg"])
def test_light_loads_with_a_unit_are_weights(cell: str) -> None:
    with pytest.raises(StockListError):
        recognise(sheet(f"Item,Size,Wibble\nHook,3/8,{cell}\nHook,1/2,{cell}"))


def test_without_a_heading() -> None:
    layout = recognise(
        sheet(
            "HP-1,Grab hook,3/8 in,G70,6600 lb,26400 lb,31\nHP-2,Grab hook,1/2 in,G70,11300 lb,45200 lb,8"
        )
    )
    assert layout.heading_row is None
    assert [c.role for c in layout.columns] == [
        "part",
        "description",
        "size",
        "grade",
        "wll",
        "breaking",
        "ignore",
    ]
    # bare numbers without a unit are left alone
    with pytest.raises(StockListError, match=r'no heading.*wll="E"'):
        recognise(sheet("HP-1,Grab hook,3/8,70,6600,1.2\nHP-2,Grab hook,1/2,70,11300,2.6"))
    # no column that is not there is advised
    with pytest.raises(StockListError, match=r"no heading.*over the ratings"):
        recognise(sheet("hello"))


def test_two_candidates_are_a_question() -> None:
    text = "Item,Size,WLL (lb),Capacity (lb)\nChain,3/8,7100,7000\nChain,1/2,12000,11000"
    with pytest.raises(
        StockListError, match=r"several columns.*'WLL \(lb\)' and 'Capacity \(lb\)'"
    ):
        recognise(sheet(text))
    layout = recognise(sheet(text), overrides={"wll": "Capacity (lb)"})
    assert roles(layout)["Capacity (lb)"] == "wll lb"
    assert roles(layout)["WLL (lb)"] == "ignore"


def test_a_later_table_in_doubt_is_told_with_its_reason() -> None:
    first = "Item,Size,WLL (lb)\nChain G80,3/8,7100\nChain G80,1/2,12000\n"
    doubted = "Article,Diameter,WLL,SWL\nChain G80,3/8,28400,21300\nChain G80,1/2,48000,36000"
    (layout,) = recognise_all(sheet(first + doubted))
    why = dict(layout.skipped.rows())
    assert (layout.body.height, list(why)) == (2, [1, 4, 5, 6])
    assert why[5] == (
        "of a table that is not checked: several columns could be the rated load: 'WLL' and 'SWL'"
    )
    # where nothing is a rated load that is the reason
    priced = "Part no.,Description,Size,Price\nA1,Shackle,3/8,12.50\nA2,Shackle,1/2,17.50"
    (layout,) = recognise_all(sheet(first + priced))
    assert set(layout.skipped["why"]) == {"heading", "of a table without rated loads"}


def test_overrides() -> None:
    text = "Item,Size,Wibble\nChain G80,3/8,7100\nChain G80,1/2,12000"
    layout = recognise(sheet(text), overrides={"wll": "wibble", "unit": "lb"})
    assert roles(layout)["Wibble"] == "wll lb"
    assert roles(recognise(sheet(text), overrides={"wll": "C"}))["Wibble"] == "wll"
    with pytest.raises(
        StockListError,
        match=r"no column is headed 'Cap\.'; the headings are 'Item', 'Size', 'Wibble'",
    ):
        recognise(sheet(text), overrides={"wll": "Cap."})
    with pytest.raises(StockListError, match="cannot be 'load'"):
        recognise(sheet(text), overrides={"load": "Wibble"})


def test_units_from_columns_and_lines_beside() -> None:
    layout = recognise(
        sheet("Item,Size,UOM,WLL,WLL unit\nChain,3/8,EA,7100,lb\nChain,10 mm,FT,3.15,t")
    )
    assert roles(layout) == {
        "Item": "description",
        "Size": "size",
        "UOM": "ignore",
        "WLL": "wll",
        "WLL unit": "unit",
    }
    (wll,) = layout.having("wll")
    assert wll.unit_column == "c4"
    titled = recognise(
        sheet("Working load limits in kg,,\nItem,Size,WLL\nChain,10 mm,3150\nChain,13 mm,5300")
    )
    assert roles(titled)["WLL"] == "wll kg"
    noted = recognise(
        sheet("Item,Size,WLL\nChain,10 mm,3150\nChain,13 mm,5300\nAll ratings in kg.,,")
    )
    assert roles(noted)["WLL"] == "wll kg"
    silent = recognise(
        sheet("Item,Size,WLL\nChain,10 mm,3150\nChain,13 mm,5300\nAll weights in kg.,,")
    )
    assert roles(silent)["WLL"] == "wll"


def test_pounds_and_kilograms_by_their_ratio() -> None:
    # 1 lb is 0.45359237 kg (international yard and pound agreement, 1959)
    text = "Item,Size,WLL,WLL \nChain,3/8,7100,3220\nChain,1/2,12000,5443\nChain,5/8,18100,8210"
    assert [c.unit for c in recognise(sheet(text)).having("wll")] == ["lb", "kg"]


def test_matrix_of_grades() -> None:
    text = "Working load limits in lb,,\nSize,Grade 43,Grade 70\n1/4,2600,3150\n3/8,5400,6600"
    layout = recognise(sheet(text))
    assert gives(layout) == [{"grade": "43"}, {"grade": "70"}]
    assert [c.unit for c in layout.having("wll")] == ["lb", "lb"]
    # nothing says that these numbers are loads, or they are prices
    for title in ("Chain by the foot", "Price list, USD"):
        with pytest.raises(StockListError):
            recognise(sheet(text.replace("Working load limits in lb", title)))


def test_angles_by_the_run_of_the_ratings() -> None:
    # to the horizontal a steeper (larger) angle carries more; to the vertical it carries less
    american = "WLL lb,,\nSize,Double 60°,Double 45°,Double 30°\n3/8,12300,10000,7100\n1/2,20800,17000,12000"
    assert [g["angle"] for g in gives(recognise(sheet(american)))] == [
        "60 to horizontal",
        "45 to horizontal",
        "30 to horizontal",
    ]
    european = "WLL t,,\nSize mm,2-leg 0-45°,2-leg 45-60°\n8,2.8,2\n10,4.25,3.15"
    assert [g["angle"] for g in gives(recognise(sheet(european)))] == [
        "0-45 to vertical",
        "45-60 to vertical",
    ]


def test_an_angle_behind_an_at_sign() -> None:
    # legs x sine of the angle to the horizontal x 7,100 lb (common practice, no source)
    text = "Sling,Legs,Chain size,Grade,WLL @60 lb,WLL @45 lb,WLL @30 lb\nDOS,2,3/8,80,12300,10000,7100"
    assert [g["angle"] for g in gives(recognise(sheet(text)))] == [
        "60 to horizontal",
        "45 to horizontal",
        "30 to horizontal",
    ]


def test_two_heading_rows(tmp_path: Path) -> None:
    rows = [
        ["Chain size", "Working Load Limit (lbs)", None, "Dimensions (in)", None, "Weight"],
        ["in", "Grade 70", "Grade 80", "A", "B", "lb"],
        ["3/8", 6600, 7100, 1.2, 2.2, 1.1],
        ["1/2", 11300, 12000, 1.5, 2.5, 2.4],
    ]
    layout = recognise(workbook(tmp_path, rows, "B1:C1", "D1:E1"))
    assert [c.role for c in layout.columns] == ["size", "wll", "wll", "ignore", "ignore", "ignore"]
    assert gives(layout) == [{"grade": "70"}, {"grade": "80"}]
    assert body(layout) == [3, 4]
    plain = recognise(
        workbook(
            tmp_path,
            [
                ["Ref", "Item", "Size", "WLL"],
                [None, None, "(mm)", "(t)"],
                ["a", "Hook", 10, 3.15],
                ["b", "Hook", 13, 5.3],
            ],
        )
    )
    assert roles(plain) == {
        "Ref": "part",
        "Item": "description",
        "Size (mm)": "size mm",
        "WLL (t)": "wll t",
    }


def test_cells_merged_downwards(tmp_path: Path) -> None:
    rows = [
        ["Grade", "Size mm", "WLL t"],
        ["8", 6, 1.12],
        [None, 8, 2],
        ["10", 8, 2.5],
        [None, 10, 4],
    ]
    layout = recognise(workbook(tmp_path, rows, "A2:A3", "A4:A5"))
    assert layout.body["c0"].to_list() == ["8", "8", "10", "10"]


def test_rows_that_are_no_items() -> None:
    text = """
Harrow & Pike Rigging,,
Stock list,,

Item,Size,WLL lb
GRADE 80,,
Clevis hooks,,
Grab hook,3/8,7100
Subtotal,,7100
Eye hooks,,
Grab hook,1/2,12000
Item,Size,WLL lb
See page 12 for details of grade 100 hooks.,,
GRADE 100,,
Grab hook,3/8,8800
Grand total,3,27900
* Prices on request,,
"""
    layout = recognise(sheet(text))
    found = dict(zip(body(layout), layout.body["section"], strict=True))
    assert found == {7: "GRADE 80 | Clevis hooks", 10: "GRADE 80 | Eye hooks", 14: "GRADE 100"}
    assert dict(layout.skipped.rows()) == {
        1: "title above the heading",
        2: "title above the heading",
        3: "title above the heading",
        4: "heading",
        5: "section heading",
        6: "section heading",
        8: "total",
        9: "section heading",
        11: "heading repeated",
        12: "note",
        13: "section heading",
        15: "total",
        16: "note",
    }


@pytest.mark.parametrize(
    "load",
    # headings of invented lists; that each is one is plain to a reader
    ["MBS 4:1 lb", "WLL @60 lb", "WLL 5:1 t", "WLL 1.4 t", "Rated 2000 kg"],
)
def test_a_heading_may_hold_a_number_with_a_unit(load: str) -> None:
    rows = "D1,Alloy chain,3/8,80,28400,28400\nD2,Alloy chain,1/2,80,12000,48000"
    layout = recognise(sheet(f"Item,Description,Size,Grade,WLL (lb),{load}\n{rows}"))
    assert (layout.heading_row, body(layout)) == (1, [2, 3])
    narrow = recognise(
        sheet(f"Description,{load},WLL kg\nChain 10 mm G8,12600,3150"), overrides={"wll": "WLL kg"}
    )
    assert (narrow.heading_row, body(narrow)) == (1, [2])


def test_an_item_is_no_heading_for_all_its_words() -> None:
    text = 'Hook,Grade 80,3/8,"WLL 7,100 lb"\nHook,Grade 80,1/2,"WLL 12,000 lb"'
    assert body(recognise(sheet(text))) == [1, 2]
    # part numbers that read as dimensions, below a line that is no heading
    text = "Stock of chain,,,,\nD1,Alloy chain,3/8,80,28400\nD2,Alloy chain,1/2,80,12000"
    layout = recognise(sheet(text), overrides={"wll": "E", "unit": "lb"})
    assert layout.heading_row is None
    assert {2, 3} <= set(body(layout))


def test_only_the_heading_itself_is_a_repeated_heading() -> None:
    # row 3 says three of the four texts of the heading and is an item without a rating
    text = "Chain,Grade 80,Alloy,WLL lb\n3/8,80,Alloy,7100\nChain,Grade 80,Alloy,\nCHAIN,Grade  80,Alloy,WLL lb"
    layout = recognise(sheet(text))
    assert body(layout) == [2, 3]
    assert dict(layout.skipped.rows()) == {1: "heading", 4: "heading repeated"}


def test_every_row_is_body_or_skipped_once() -> None:
    corpus = Path(__file__).resolve().parents[1] / "corpus"
    for folder in sorted(p.parent for p in corpus.glob("*/expected.csv")):
        for one in read_list(next(folder.glob("list.*"))):
            try:
                layouts = recognise_all(one)
            except StockListError:
                continue
            rows = pl.concat(
                [f.select("row") for one_ in layouts for f in (one_.body, one_.skipped)]
            )
            assert sorted(rows["row"].to_list()) == one.frame["row"].to_list(), folder.name
            assert all(c.why for layout in layouts for c in layout.columns)


def test_a_code_and_capitals_head_a_group() -> None:
    text = "Code,Description,Size,WLL (kg),Qty\n100,CHAIN GRADE 80,,,\n101,Short link chain,8 mm,2000,5\n102,Short link chain,10 mm,3150,5\n200,CHAIN GRADE 100,,,\n201,Short link chain,8 mm,2500,5"
    layout = recognise(sheet(text))
    assert layout.body["section"].to_list() == [
        "CHAIN GRADE 80",
        "CHAIN GRADE 80",
        "CHAIN GRADE 100",
    ]


@pytest.mark.parametrize(
    "line",
    # that each names one size of chain, and so is no heading, is plain to a reader
    ["3/8 grade 100 alloy chain", "Kette 10 mm GK 10", "Grade 100 chain 3/8 in.", "CHAIN 1/2 G100"],
)
def test_an_item_with_a_blank_rating_heads_no_group(line: str) -> None:
    text = f"Description,WLL lb\n3/8 grade 80 chain,7100\n{line},\n3/8 alloy chain,8800"
    layout = recognise(sheet(text))
    assert layout.body.select("row", "section").rows() == [(2, None), (3, None), (4, None)]
    # in a list with a column of sizes neither
    text = f"Description,Size,WLL lb\nGrade 80 chain,3/8,7100\n{line},,\nAlloy chain,3/8,8800"
    assert recognise(sheet(text)).body["section"].to_list() == [None, None, None]


@pytest.mark.parametrize("line", ["Grade 100 alloy chain", "GRADE 100", "G100 chain 1/4 - 3/4"])
def test_a_grade_without_a_size_heads_the_rows_below_it(line: str) -> None:
    text = f"Description,WLL lb\n3/8 grade 80 chain,7100\n{line},\n3/8 alloy chain,8800"
    layout = recognise(sheet(text))
    assert layout.body.select("row", "section").rows() == [(2, None), (4, line)]
    # over rows that do not name sizes, a size heads them, too
    sized = recognise(sheet("Description,WLL lb\n3/8 chain,\nGrade 80,7100\nGrade 100,8800"))
    assert sized.body["section"].to_list() == ["3/8 chain", "3/8 chain"]


@pytest.mark.parametrize(
    "line",
    [
        "Also available in grade 100",
        "Grade 100 on request",
        "Grade 100 siehe Seite 12",
        "Nur Güteklasse 10 lieferbar",
        "Classe 10 sur demande",
    ],
)
def test_a_sentence_heads_no_group(line: str) -> None:
    layout = recognise(
        sheet(f"Item,Size,WLL lb\nGRADE 80,,\nGrab hook,3/8,7100\n{line},,\nGrab hook,1/2,12000")
    )
    assert layout.body["section"].to_list() == ["GRADE 80", "GRADE 80"]


def test_heading_words_cut_in_two_rows() -> None:
    layout = recognise(
        sheet(
            "Part,Description,Working,Grade\nNumber,,Load Limit lb,\nA1,Grab hook 3/8,6600,70\nA2,Grab hook 1/2,11300,70"
        )
    )
    assert roles(layout) == {
        "Part Number": "part",
        "Description": "description",
        "Working Load Limit lb": "wll lb",
        "Grade": "grade",
    }


def test_matrix_of_forms_and_of_bare_grades() -> None:
    forms = recognise(
        sheet(
            "WLL (kg) of grade 8 hooks,,,\nSize mm,Eye sling hook,Clevis sling hook,Self-locking hook\n6,1120,1120,1120\n8,2000,2000,2000"
        )
    )
    assert gives(forms) == [
        {"connection": "eye"},
        {"connection": "clevis"},
        {"form": "self locking"},
    ]
    grades = recognise(sheet("WLL lbs,,\nSize,43,G-70 LBS.\n1/4,2600,3150\n3/8,5400,6600"))
    assert gives(grades) == [{"grade": "43"}, {"grade": "70"}]


def test_corner_of_a_chart_heads_the_sizes() -> None:
    text = (
        "WLL in tonnes,1-leg,2-leg,2-leg\nChain dia,0,0-45,45-60\n8,2.0,2.8,2.0\n10,3.15,4.25,3.15"
    )
    layout = recognise(sheet(text))
    assert [c.role for c in layout.columns] == ["size", "wll", "wll", "wll"]
    assert [c.unit for c in layout.having("wll")] == ["t", "t", "t"]
    assert body(layout) == [3, 4]


def test_ditto_marks_are_written_out() -> None:
    layout = recognise(
        sheet('Item\tSize\tGrade\tWLL lb\nGrab hook\t3/8\t80\t7100\n"\t1/2\tditto\t12000')
    )
    assert layout.body.row(1)[1:5] == ("Grab hook", "1/2", "80", "12000")


def test_tables_below_and_beside_each_other() -> None:
    below = "Item,Size,WLL lb\nHook,3/8,7100\n\nSlings,,\nGrade,WLL t,Size mm\n8,2,8\n8,3.15,10"
    first, second = recognise_all(sheet(below))
    assert (body(first), body(second)) == ([2], [6, 7])
    assert [c.role for c in second.columns] == ["grade", "wll", "size"]
    assert second.body["section"].to_list() == ["Slings", "Slings"]
    (only, *_), skipped = [recognise(sheet(below))], recognise(sheet(below)).skipped
    assert body(only) == [2] and {6, 7} <= set(skipped["row"])
    beside = "Size,WLL lb,,Size,WLL lb\n1/4,1300,,5/8,6900\n3/8,2650,,3/4,10600"
    left, right = recognise_all(sheet(beside))
    assert [c.column for c in right.columns] == ["c3", "c4"]
    assert left.body["c0"].to_list() == ["1/4", "3/8"] and right.body["c3"].to_list() == [
        "5/8",
        "3/4",
    ]


def test_a_comma_in_an_unquoted_number() -> None:
    layout = recognise(
        sheet("Item,Size,Grade,WLL lb\nChain,1/4,30,880\nChain,3/8,80,7,100\nChain,1/2,80,12,000")
    )
    assert body(layout) == [2]
    assert [w for w in layout.skipped["why"] if w != "heading"] == [
        "more cells than headings: a comma inside a number was taken for a separator"
    ] * 2


@pytest.mark.parametrize(
    ("cells", "unit", "mark"),
    [
        (["3,15", "5,3"], None, ","),
        (["3.15", "7,100"], None, "."),
        (["1.234,5"], None, ","),
        (["7,100", "12,000"], "lb", "."),  # no rated load is 7.1 lb
        (["4.250 kg"], None, ","),  # nor 4.25 kg
        (["1,120", "3,150"], "t", ","),  # nor 1120 t
        (["7,100", "12,000"], None, None),
        (["3,15", "3.15"], None, None),
        (["7100", "3/8"], "lb", None),
    ],
)
def test_decimal_mark(cells: list[str], unit: str | None, mark: str | None) -> None:
    assert settle(evidence(cells, unit)) == mark


def test_decimal_mark_of_a_list_and_of_a_column(tmp_path: Path) -> None:
    german = recognise(
        sheet(
            "Bezeichnung;Größe;Tragfähigkeit kg;Preis\nHaken;10;3.150;12,40\nHaken;13;5.300;15,00"
        )
    )
    assert german.decimal == ","
    # numbers that were stored as numbers have a point, whatever the texts beside them use
    mixed = recognise(
        workbook(tmp_path, [["Text", "WLL t"], ["Haken 3,15 t", 3.15], ["Haken 5,3 t", 5.3]])
    )
    assert mixed.decimal == ","
    assert [c.decimal for c in mixed.columns] == [",", "."]


def test_profile_keeps_a_mapping(tmp_path: Path) -> None:
    text = 'Item,Size,"Wibble ""max"""\nChain G80,3/8,7100\nChain G80,1/2,12000'
    first = recognise(sheet(text), overrides={"wll": "C", "unit": "lb"})
    save_profile(profile_from_layout(first), tmp_path / "shop.toml")
    (again,) = apply_profile(sheet(text), load_profile(tmp_path / "shop.toml"))
    assert roles(again) == roles(first)
    with pytest.raises(StockListError, match="expects a column headed"):
        apply_profile(sheet("Item,Size,WLL\nChain,3/8,7100"), load_profile(tmp_path / "shop.toml"))
    (tmp_path / "bad.toml").write_text('[[columns]]\nheading = "A"\nrole = "capacity"\n')
    with pytest.raises(StockListError, match="cannot be 'capacity'"):
        load_profile(tmp_path / "bad.toml")
    with pytest.raises(StockListError, match="cannot be read"):
        load_profile(tmp_path / "none.toml")


def test_descriptions_may_hold_the_ratings() -> None:
    layout = recognise(
        sheet('Item,Qty\n"Grab hook 3/8 G70, WLL 6,600 lb",4\n"Grab hook 1/2 G70, WLL 11,300 lb",2')
    )
    assert not layout.having("wll")
    assert roles(layout) == {"Item": "description", "Qty": "ignore"}


def test_long_lists_are_looked_at_by_sample() -> None:
    block = "".join(
        f"HP-{i},Grab hook,{s},{w}\n"
        for i, (s, w) in enumerate([("1/4", 3150), ("3/8", 6600)] * 10_000)
    )
    text = io.StringIO()
    text.write("Part,Item,Size,WLL lb\n" + block + "Total,,,97500000\n")
    layout = recognise(sheet(text.getvalue()))
    assert layout.body.height == 20_000
    assert layout.skipped.rows() == [(1, "heading"), (20_002, "total")]
