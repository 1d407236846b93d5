"""What the rows of a list have in common."""

from __future__ import annotations

import polars as pl

from tallyhook.recognising.habits import filled_counts, habits_of


def frame(*rows: tuple[str, ...]) -> pl.DataFrame:
    cells = {f"c{i}": [r[i] for r in rows] for i in range(len(rows[0]))}
    return pl.DataFrame({"row": list(range(len(rows))), **cells})


def test_the_cells_that_an_item_fills() -> None:
    table = frame(("hook", "3/8", "7100"), ("GRADE 80", "", ""), ("chain", "1/2", "12000"))
    assert habits_of(table).usual == 3
    single = frame(*((f"hook {i} mm", "") for i in range(20)), ("hook", "7100"))
    assert habits_of(single).usual == 1  # one row in 21 is none in ten


def test_white_space_fills_no_cell() -> None:
    assert filled_counts(frame((" ", "a"), ("\u00a0", ""), ("b", "c"))).to_list() == [1, 0, 2]


def test_capitals_and_sizes_of_columns() -> None:
    rows = [
        ("GRAB HOOK FORGED", "hook 3/8 in", "chain"),
        ("SLING HOOK FORGED", "hook 10 mm", "hooks"),
        ("Master link", "master link", "links"),
        ("EYE HOOK FORGED", "eye hook", "hooks"),
    ]
    found = habits_of(frame(*rows))
    assert (found.shouted, found.sized) == ({"c0"}, {"c1"})


def test_a_quarter_of_the_texts_is_enough() -> None:
    texts = ["hook 3/8 in", "hook", "chain", "link", "ring", "shackle"]
    one_of_four, one_of_six = texts[:4], texts
    assert habits_of(frame(*((t, "x") for t in one_of_four))).sized == {"c0"}
    assert habits_of(frame(*((t, "x") for t in one_of_six))).sized == set()
    # wherever it stands
    assert habits_of(frame(*((t, "x") for t in reversed(one_of_four)))).sized == {"c0"}
