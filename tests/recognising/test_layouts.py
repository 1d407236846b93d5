"""Columns recognised by heading, by cells, and not where neither settles it.

The lists are invented (Harrow & Pike Rigging); what each column is was decided by hand. That a
price, a weight or a quantity never becomes a rating is the point of most of these tests.
"""

from __future__ import annotations

import io

import pytest

from stock_sheets import gives, only_layout, roles, sheet
from tallyhook.errors import StockListError


def test_cells_overrule_a_heading() -> None:
    layout = only_layout(sheet("Part,Size,Grade\nA,7100 lb,80\nB,12000 lb,80\nC,18100 lb,80"))
    assert roles(layout) == {"Part": "part", "Size": "wll", "Grade": "grade"}
    with pytest.raises(StockListError, match="no column can be the rated load"):
        only_layout(sheet("Item,Size,WLL\nHook,3/8,red\nHook,1/2,blue"))


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
        only_layout(sheet(f"Item,Size,{heading}\nHook,3/8,7100\nHook,1/2,12000\nHook,5/8,18100"))


@pytest.mark.parametrize("cell", ["1.4 lb", "3 kg", "12.5 kg"])
def test_light_loads_with_a_unit_are_weights(cell: str) -> None:
    with pytest.raises(StockListError):
        only_layout(sheet(f"Item,Size,Wibble\nHook,3/8,{cell}\nHook,1/2,{cell}"))


def test_without_a_heading() -> None:
    layout = only_layout(
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
        only_layout(sheet("HP-1,Grab hook,3/8,70,6600,1.2\nHP-2,Grab hook,1/2,70,11300,2.6"))
    # no column that is not there is advised
    with pytest.raises(StockListError, match=r"no heading.*over the ratings"):
        only_layout(sheet("hello"))


def test_two_candidates_are_a_question() -> None:
    text = "Item,Size,WLL (lb),Capacity (lb)\nChain,3/8,7100,7000\nChain,1/2,12000,11000"
    with pytest.raises(
        StockListError, match=r"several columns.*'WLL \(lb\)' and 'Capacity \(lb\)'"
    ):
        only_layout(sheet(text))
    layout = only_layout(sheet(text), overrides={"wll": "Capacity (lb)"})
    assert roles(layout)["Capacity (lb)"] == "wll lb"
    assert roles(layout)["WLL (lb)"] == "ignore"


def test_overrides() -> None:
    text = "Item,Size,Wibble\nChain G80,3/8,7100\nChain G80,1/2,12000"
    layout = only_layout(sheet(text), overrides={"wll": "wibble", "unit": "lb"})
    assert roles(layout)["Wibble"] == "wll lb"
    assert roles(only_layout(sheet(text), overrides={"wll": "C"}))["Wibble"] == "wll"
    with pytest.raises(
        StockListError,
        match=r"no column is headed 'Cap\.'; the headings are 'Item', 'Size', 'Wibble'",
    ):
        only_layout(sheet(text), overrides={"wll": "Cap."})
    with pytest.raises(StockListError, match="cannot be 'load'"):
        only_layout(sheet(text), overrides={"load": "Wibble"})


def test_units_from_columns_and_lines_beside() -> None:
    layout = only_layout(
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
    titled = only_layout(
        sheet("Working load limits in kg,,\nItem,Size,WLL\nChain,10 mm,3150\nChain,13 mm,5300")
    )
    assert roles(titled)["WLL"] == "wll kg"
    noted = only_layout(
        sheet("Item,Size,WLL\nChain,10 mm,3150\nChain,13 mm,5300\nAll ratings in kg.,,")
    )
    assert roles(noted)["WLL"] == "wll kg"
    silent = only_layout(
        sheet("Item,Size,WLL\nChain,10 mm,3150\nChain,13 mm,5300\nAll weights in kg.,,")
    )
    assert roles(silent)["WLL"] == "wll"


def test_pounds_and_kilograms_by_their_ratio() -> None:
    # 1 lb is 0.45359237 kg (international yard and pound agreement, 1959)
    text = "Item,Size,WLL,WLL \nChain,3/8,7100,3220\nChain,1/2,12000,5443\nChain,5/8,18100,8210"
    assert [c.unit for c in only_layout(sheet(text)).having("wll")] == ["lb", "kg"]


def test_matrix_of_grades() -> None:
    text = "Working load limits in lb,,\nSize,Grade 43,Grade 70\n1/4,2600,3150\n3/8,5400,6600"
    layout = only_layout(sheet(text))
    assert gives(layout) == [{"grade": "43"}, {"grade": "70"}]
    assert [c.unit for c in layout.having("wll")] == ["lb", "lb"]
    # nothing says that these numbers are loads, or they are prices
    for title in ("Chain by the foot", "Price list, USD"):
        with pytest.raises(StockListError):
            only_layout(sheet(text.replace("Working load limits in lb", title)))


def test_angles_by_the_run_of_the_ratings() -> None:
    # to the horizontal a steeper (larger) angle carries more; to the vertical it carries less
    american = "WLL lb,,\nSize,Double 60°,Double 45°,Double 30°\n3/8,12300,10000,7100\n1/2,20800,17000,12000"
    assert [g["angle"] for g in gives(only_layout(sheet(american)))] == [
        "60 to horizontal",
        "45 to horizontal",
        "30 to horizontal",
    ]
    european = "WLL t,,\nSize mm,2-leg 0-45°,2-leg 45-60°\n8,2.8,2\n10,4.25,3.15"
    assert [g["angle"] for g in gives(only_layout(sheet(european)))] == [
        "0-45 to vertical",
        "45-60 to vertical",
    ]


def test_an_angle_behind_an_at_sign() -> None:
    # legs x sine of the angle to the horizontal x 7,100 lb (common practice, no source)
    text = "Sling,Legs,Chain size,Grade,WLL @60 lb,WLL @45 lb,WLL @30 lb\nDOS,2,3/8,80,12300,10000,7100"
    assert [g["angle"] for g in gives(only_layout(sheet(text)))] == [
        "60 to horizontal",
        "45 to horizontal",
        "30 to horizontal",
    ]


def test_matrix_of_forms_and_of_bare_grades() -> None:
    forms = only_layout(
        sheet(
            "WLL (kg) of grade 8 hooks,,,\nSize mm,Eye sling hook,Clevis sling hook,Self-locking hook\n6,1120,1120,1120\n8,2000,2000,2000"
        )
    )
    assert gives(forms) == [
        {"connection": "eye"},
        {"connection": "clevis"},
        {"form": "self locking"},
    ]
    grades = only_layout(sheet("WLL lbs,,\nSize,43,G-70 LBS.\n1/4,2600,3150\n3/8,5400,6600"))
    assert gives(grades) == [{"grade": "43"}, {"grade": "70"}]


def test_descriptions_may_hold_the_ratings() -> None:
    layout = only_layout(
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
    layout = only_layout(sheet(text.getvalue()))
    assert layout.body.height == 20_000
    assert layout.skipped.rows() == [(1, "heading"), (20_002, "total")]
