"""The decimal mark of a list and of each of its columns."""

from __future__ import annotations

from pathlib import Path

import pytest

from stock_sheets import only_layout, sheet, workbook
from tallyhook.recognising.decimals import marks_in, settle


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
    assert settle(marks_in(cells, unit)) == mark


def test_decimal_mark_of_a_list_and_of_a_column(tmp_path: Path) -> None:
    german = only_layout(
        sheet(
            "Bezeichnung;Größe;Tragfähigkeit kg;Preis\nHaken;10;3.150;12,40\nHaken;13;5.300;15,00"
        )
    )
    assert german.decimal == ","
    # numbers that were stored as numbers have a point, whatever the texts beside them use
    mixed = only_layout(
        workbook(tmp_path, [["Text", "WLL t"], ["Haken 3,15 t", 3.15], ["Haken 5,3 t", 5.3]])
    )
    assert mixed.decimal == ","
    assert [c.decimal for c in mixed.columns] == [",", "."]
