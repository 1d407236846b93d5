"""Titles in place of slugs; what is not known keeps its slug."""

from __future__ import annotations

import pytest

from tallyhook.model.finding import SEVERITIES
from tallyhook.reporting.titles import (
    cause_explanation,
    cause_title,
    outcome_title,
    rule_title,
    severity_title,
    source_address,
    source_title,
    to_do,
    to_do_with_these,
)


def test_two_causes_have_two_titles() -> None:
    assert cause_title("breaking-force-as-wll and decimal-point-shifted") == (
        "Breaking force listed as the rating, and Decimal point in the wrong place"
    )
    explained = cause_explanation("breaking-force-as-wll and decimal-point-shifted")
    assert explained.startswith("The number is the force at which the part breaks;")
    assert "The digits are right and the decimal point is off" in explained


@pytest.mark.parametrize(
    ("given", "title"), [(None, ""), ("no-such-cause", "no-such-cause"), ("", "")]
)
def test_a_cause_that_is_not_known_keeps_its_slug(given: str | None, title: str) -> None:
    assert (cause_title(given), cause_explanation(given)) == (title, "")


@pytest.mark.parametrize(
    ("source", "title", "address"),
    [
        (None, "", ""),
        ("chain.grades", "table grades of the package chain", ""),
        ("no-such.table", "no-such.table", ""),
        ("no-such-source", "no-such-source", ""),
    ],
)
def test_a_source_is_a_document_or_a_table_of_ours(
    source: str | None, title: str, address: str
) -> None:
    assert (source_title(source), source_address(source)) == (title, address)


def test_a_rule_is_named_by_the_first_sentence_of_its_page() -> None:
    assert rule_title("decision-matches-nothing") == "A decision fits no finding of the list."
    assert rule_title("a-makers-own-rule") == "a-makers-own-rule"


def test_every_severity_has_a_word_and_something_to_do() -> None:
    assert [severity_title(s) for s in SEVERITIES] == ["danger", "error", "warning", "note"]
    assert [to_do(s) for s in SEVERITIES] == [
        "take off the list until corrected",
        "correct",
        "have a person look",
        "know",
    ]
    assert to_do_with_these("error") == "correct these"
    assert outcome_title("not compared") == "not compared"
