"""A filled cell of a recognised column could not be read, and its row was compared without it.

## What it checks
Loads, forces, sizes, grades, units, legs, angles, hitches, forms, connections, design factors and
yes-or-no columns: a cell that is filled, is none of the marks of an empty cell (`-`, `n/a`, `tbd`) and
says no one thing that can be read. A row that its other cells contradict stays contradicted; one that
they would let pass is *not compared*. Rows that are not compared for another reason say there what was
not read.

## Why it matters
What cannot be read may be the number that is wrong: `181O00` beside 8,200 kg is a rating ten times
too high for whoever reads it with their eyes.

## Likely cause
A slip of the hand (`7l00`), a price, a range, an error of a spreadsheet (`#REF!`), a date that a
spreadsheet made of a fraction (`8-May` of 5/8), a remark in a column of numbers.

## Example
| row | kind  | grade | size_mm | wll      | unread_cells                                                                          | finding |
| --- | ----- | ----- | ------- | -------- | ------------------------------------------------------------------------------------- | ------- |
| 2   | chain | 80    | 16      | 8,200 kg | [{"role": "wll", "column": "WLL lb", "cell": "181O00", "why": "'O' is not understood"}] | WLL lb  |
| 3   | chain | 80    | 16      | 9,900 kg | [{"role": "grade", "column": "Gr.", "cell": "8O", "why": "'8O' is no grade mark"}]       | Gr.     |
| 4   | chain | 80    | 16      | 8,200 kg |                                                                                       |         |
| 5   | chain |       | 16      | 8,200 kg | [{"role": "grade", "column": "Gr.", "cell": "8O", "why": "'8O' is no grade mark"}]       |         |

Row 5 is not compared because it has no grade. The `findings`, whole:

| row | observed | expected                | source | note                  |
| --- | -------- | ----------------------- | ------ | --------------------- |
| 2   | 181O00   | a cell that can be read |        | 'O' is not understood |
| 3   | 8O       | a cell that can be read |        | '8O' is no grade mark |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say
from tallyhook.model.finding import WARNING
from tallyhook.rules import rule
from tallyhook.rules.stock import findings
from tallyhook.rules.stock._unread import by_cell


@rule(severity=WARNING, reads="items", since="0.2.0")
def cell_could_not_be_read(items: pl.DataFrame) -> pl.DataFrame:
    compared = (pl.col("outcome") == "contradicted") | pl.col("set_aside")
    return findings(
        by_cell(items.filter(compared)),
        column=pl.col("unread_column"),
        observed=pl.col("unread_cell"),
        expected=say("a cell that can be read"),
        note=pl.col("unread_why"),
    )
