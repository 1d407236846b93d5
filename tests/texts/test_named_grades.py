"""All the grades that the words of a row name."""

from __future__ import annotations

import polars as pl
import pytest

from tallyhook.texts.named_grades import grades_named


@pytest.mark.parametrize(
    ("words", "grades"),
    [
        ("2-leg chain sling grade 8 with G10 hooks", [80, 100]),  # EN 818-1: grades 8 and 10
        ("Chain sling G80 w/ G70 hook", [70, 80]),
        ("Chain sling", []),
        # 4 is the European grade 4 (EN 818-1) or the mark of high test (49 CFR 393.108)
        ("2-leg chain sling, 10 mm, grade 4", []),
        ("2-leg chain sling G80 with grade 4 hooks", [80]),
    ],
)
def test_a_row_names_the_grades_that_its_words_leave_no_doubt_of(
    words: str, grades: list[int]
) -> None:
    frame = pl.DataFrame({"item": [words]})
    assert frame.select(grades_named().alias("grades"))["grades"].to_list() == [grades]
