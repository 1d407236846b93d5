"""A finding in words: the same fields, for a terminal, a build server and a cell's comment."""

from __future__ import annotations

from typing import Any

import pytest

from tallyhook.reporting.finding_text import (
    acceptance,
    case_lines,
    comment_lines,
    likely_cause,
    origin_lines,
    place_on_screen,
    row_numbers,
    screen_lines,
    source_of,
    sure_percent,
)

# 49 CFR 393.108: 3/8 in grade 70 transport chain has a working load limit of 6,600 lb; its breaking
# force is four times that. Written by an invented shop.
FINDING: dict[str, Any] = {
    "rule": "rated-above-every-source",
    "severity": "danger",
    "file": "shop.csv",
    "sheet": None,
    "row": 14,
    "rows": None,
    "column": "WLL (lb)",
    "item": "C-70-38",
    "observed": "26,400 lb",
    "expected": "6,600 lb",
    "ratio": 4.0,
    "cause": "breaking-force-as-wll",
    "confidence": 0.926,
    "other_causes": ["decimal-point-shifted"],
    "source": "49-cfr-393-108",
    "locator": "table",
    "note": "the number is the breaking force",
    "decision": None,
}
COLUMN = FINDING | {"row": None, "rows": [2, 3, 4, 9], "sheet": "Chain"}
BARE = FINDING | dict.fromkeys(
    ("ratio", "cause", "confidence", "source", "locator", "note", "other_causes")
)


@pytest.fixture(autouse=True)
def short_title(monkeypatch: pytest.MonkeyPatch) -> None:
    from tallyhook.reporting import finding_text

    monkeypatch.setattr(finding_text, "source_title", lambda source: f"the title of {source}")


def test_on_a_terminal() -> None:
    assert place_on_screen(FINDING) == "row 14"
    assert screen_lines(FINDING) == [
        "WLL (lb): 26,400 lb; expected 6,600 lb (4 times)",
        "likely cause: Breaking force listed as the rating, 93 % sure",
        "or: Decimal point in the wrong place",
        "the number is the breaking force",
    ]
    assert origin_lines(FINDING) == [
        "source: the title of 49-cfr-393-108, table",
        "rule: rated-above-every-source",
    ]


def test_on_a_terminal_of_a_column_on_a_sheet() -> None:
    assert place_on_screen(COLUMN) == "rows 2, 3, 4, 9 of Chain"
    assert row_numbers(COLUMN) == "2-4, 9"


def test_a_finding_of_the_whole_list_is_named_by_its_file() -> None:
    whole = FINDING | {"row": None}
    assert (place_on_screen(whole), row_numbers(whole)) == ("shop.csv", "-")


def test_with_nothing_but_its_numbers() -> None:
    assert screen_lines(BARE) == ["WLL (lb): 26,400 lb; expected 6,600 lb"]
    assert origin_lines(BARE) == ["rule: rated-above-every-source"]
    assert (likely_cause(BARE), source_of(BARE), sure_percent(BARE)) == (
        "",
        "the title of None",
        None,
    )


def test_on_a_build_server() -> None:
    assert case_lines(COLUMN) == [
        "danger: A rating is higher than every source gives for that kind, size and grade.",
        "rows 2-4, 9",
        "WLL (lb): 26,400 lb; expected 6,600 lb",
        "likely cause: Breaking force listed as the rating",
        "the number is the breaking force",
        "source: the title of 49-cfr-393-108; table",
    ]


def test_in_the_comment_of_a_cell() -> None:
    lines = comment_lines(FINDING)
    assert lines[0].startswith("DANGER: A rating is higher than every source")
    assert lines[1:3] == ["Listed: 26,400 lb", "Expected: 6,600 lb"]
    assert lines[3].startswith("Likely cause: Breaking force listed as the rating. The number is")
    assert lines[4:] == [
        "Note: the number is the breaking force",
        "Source: the title of 49-cfr-393-108; table",
    ]
    assert comment_lines(COLUMN)[1] == "One mistake in rows 2-4, 9"


def test_a_comment_has_room_for_so_many_rows() -> None:
    scattered = FINDING | {"row": None, "rows": list(range(2, 2002, 2))}
    line = comment_lines(scattered)[1]
    assert line.startswith("One mistake in rows 2, 4, 6, ") and line.endswith(" ...")
    assert len(line) == len("One mistake in rows ") + 400 + len(" ...")


def test_the_likely_cause_in_one_cell() -> None:
    assert likely_cause(FINDING) == (
        "Breaking force listed as the rating; 93 % sure; or: Decimal point in the wrong place"
    )


@pytest.mark.parametrize(
    ("expires", "said"),
    [
        (None, "by Ann Pike on 2026-01-31: the maker says so"),
        ("2026-12-31", "by Ann Pike on 2026-01-31, until 2026-12-31: the maker says so"),
    ],
)
def test_who_accepted_it(expires: str | None, said: str) -> None:
    decision = {"who": "Ann Pike", "date": "2026-01-31", "why": "the maker says so"}
    assert acceptance(FINDING | {"decision": decision | {"expires": expires}}) == said


def test_what_was_decided_on_a_finding_is_said_wherever_it_is_told() -> None:
    decision: dict[str, Any] = {"who": "Ann Pike", "date": "2026-01-31", "why": "typed wrong"}
    decision |= {"expires": None, "document": None}
    said = "by Ann Pike on 2026-01-31: typed wrong"
    for lines in (screen_lines, case_lines, comment_lines):
        to_correct = FINDING | {"decision": decision | {"decision": "correct"}}
        assert lines(to_correct)[-1] == f"to be corrected, {said}"
        accepted = FINDING | {"decision": decision | {"decision": "accept"}}
        assert lines(accepted)[-1] == f"accepted {said}"
        paper = {"decision": decision | {"decision": "accept", "document": "certificate 7"}}
        assert lines(FINDING | paper)[-1] == f"accepted {said} (certificate 7)"
    assert comment_lines(accepted)[0] == "ACCEPTED"
