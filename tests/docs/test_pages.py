"""The page of a rule, a cause or a source by its name, and the list of all of them."""

from __future__ import annotations

import pytest

from tallyhook.docs.pages import index_text, package_page, page_text
from tallyhook.docs.terminal import on_terminal
from tallyhook.errors import TallyhookError
from tallyhook.packages.package import built_in_packages


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


@pytest.mark.parametrize(
    "line",
    [
        # a limit of a crane hook may be a largest one or a least one
        "| limit_mm | number | mm | as comparison says | Limit of the dimension, in millimetres. |",
        "| proof_to_wll_min | number | 1 | a smaller value | Least proof load divided by the working load limit; blank where the document names none. |",
        "| per | string |  |  | What the rating is for: one hook, or two used as a pair. One of `hook`, `pair`. |",
        "| rated_as_its_chain | boolean |  | `true` | Whether a hook of a form that is rated as its chain is so with this connection; where not, its maker rates it. |",
        "| per | pair | A pair of hooks |",
        "| forms.overhead | depends | Depends: see the words beside it |",
        "Special hooks. 18 rows, key: design, case. Names are made as `special-hook/{design}/{case}`. form: a row of forms. connection: a row of connections.",
    ],
)
def test_the_page_of_a_package_says_all_that_its_descriptor_does(line: str) -> None:
    assert line in package_page(built_in_packages()["hooks"]).splitlines()


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
