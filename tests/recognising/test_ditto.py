"""Ditto marks are written out."""

from __future__ import annotations

from stock_sheets import only_layout, sheet


def test_ditto_marks_are_written_out() -> None:
    layout = only_layout(
        sheet('Item\tSize\tGrade\tWLL lb\nGrab hook\t3/8\t80\t7100\n"\t1/2\tditto\t12000')
    )
    assert layout.body.row(1)[1:5] == ("Grab hook", "1/2", "80", "12000")
