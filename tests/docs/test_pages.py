"""The page of a rule, a cause or a source by its name, and the list of all of them."""

from __future__ import annotations

import pytest

from tallyhook.docs.pages import index_text, page_text
from tallyhook.docs.terminal import on_terminal
from tallyhook.errors import TallyhookError


@pytest.mark.parametrize(
    ("name", "begins", "holds"),
    [
        (
            "rated-above-every-source",
            "# rated-above-every-source\n",
            "Severity: danger. Since 0.1.0.",
        ),
        ("rating-falls-as-size-grows", "# rating-falls-as-size-grows\n", "## Why it matters"),
        ("pounds-as-kilograms", "cause: pounds-as-kilograms\n", "title: "),
        ("en-818-4", "source: en-818-4\n", "EN 818-4"),
    ],
)
def test_a_name_has_its_page(name: str, begins: str, holds: str) -> None:
    page = page_text(name)
    assert page.startswith(begins) and holds in page


def test_a_name_that_is_none_is_refused() -> None:
    with pytest.raises(TallyhookError) as refused:
        page_text("en-818")
    assert str(refused.value) == (
        "there is no rule, cause or source 'en-818'; 'tallyhook explain' lists them."
    )


def test_the_list_has_a_heading_for_each_kind() -> None:
    headings = [line for line in index_text().splitlines() if line and line[0] != " "]
    assert headings == [
        "Rules on stock lists",
        "Rules on rating packages",
        "Rules on decisions",
        "Causes",
        "Sources",
    ]


def test_a_page_is_wrapped_but_for_its_tables(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    table = "| row | a heading that is wider than the terminal |"
    page = (
        f"# a-rule\n\nOne sentence that goes\non, wider than forty columns.\n\n{table}\n- a point\n"
    )
    assert on_terminal(page).splitlines() == [
        "# a-rule",
        "",
        "One sentence that goes on, wider than",
        "forty columns.",
        "",
        table,
        "- a point",
    ]
