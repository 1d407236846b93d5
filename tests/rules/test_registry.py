"""What each stock rule is marked as: how bad it is, what it reads, what it stands in place of."""

from __future__ import annotations

import pytest

from tallyhook.errors import TallyhookError
from tallyhook.rules import all_rules, rule, rule_named

# The severities follow the design: a danger promises more than any source allows or allows a
# forbidden use; an error contradicts its source or itself; a warning is unusual; a note explains.
SEVERITY = {
    "danger": (
        "connection-is-not-for-lifting", "grab-hook-without-cradle-is-not-reduced",
        "grade-is-not-for-overhead-lifting", "positioning-swivel-said-to-turn-under-load",
        "rated-above-every-source", "rated-at-its-breaking-force",
        "sling-rated-above-its-weakest-part",
    ),
    "error": (
        "breaking-force-and-rating-disagree", "description-and-columns-disagree",
        "latch-is-missing", "proof-force-and-rating-disagree", "rated-below-every-source",
        "rated-between-the-sources", "same-part-number-has-two-ratings",
        "stated-design-factor-is-not-the-ratio", "the-two-units-disagree",
    ),
    "warning": (
        "agrees-only-with-another-scheme", "angle-reference-is-not-said", "assembly-mixes-grades",
        "cell-could-not-be-read", "column-of-loads-holds-none",
        "grade-is-called-a-lifting-grade", "hoist-hook-is-not-in-the-series",
        "latch-on-a-form-that-has-none", "no-source-rates-this-size-and-grade",
        "rating-does-not-belong-in-its-series", "ton-is-ambiguous",
    ),
    "note": ("cradle-is-not-said",),
}  # fmt: skip

DECISIONS = {
    "danger-is-accepted-without-a-document": "error",
    "decision-cannot-be-read": "error",
    "decision-does-not-say-what-it-accepts": "error",
    "decision-is-past-its-date": "warning",
    "decision-matches-nothing": "warning",
    "decisions-contradict-each-other": "error",
}

# the more specific rule -> those whose finding on the same row and column it replaces
INSTEAD_OF = {
    "column-of-loads-holds-none": ("cell-could-not-be-read",),
    "grab-hook-without-cradle-is-not-reduced": (
        "rated-above-every-source",
        "rated-between-the-sources",
    ),
    "grade-is-not-for-overhead-lifting": ("assembly-mixes-grades",),
    "sling-rated-above-its-weakest-part": ("rated-above-every-source",),
}

ACROSS = {"same-part-number-has-two-ratings": "part"}

VERSIONS = {"0.1.0", "0.2.0"}  # those that brought them, in CHANGELOG.md


def test_every_stock_rule_is_as_bad_as_the_design_says() -> None:
    severity = {name: level for level, names in SEVERITY.items() for name in names}
    assert {r.name: r.severity for r in all_rules("stock")} == severity
    assert {r.name: r.severity for r in all_rules("decision")} == DECISIONS
    assert {r.reads for r in all_rules("decision")} == {("decisions",)}


def test_only_these_rules_replace_others_or_compare_rows() -> None:
    stock = all_rules("stock")
    assert {r.name: r.instead_of for r in stock if r.instead_of} == INSTEAD_OF
    assert {r.name: r.across for r in stock if r.across} == ACROSS
    named = {r.name for r in stock}
    assert all(name in named for names in INSTEAD_OF.values() for name in names)


def test_every_rule_says_which_version_brought_it() -> None:
    assert {r.since for r in (*all_rules("stock"), *all_rules("decision"))} <= VERSIONS


@pytest.mark.parametrize("name", [*DECISIONS, *INSTEAD_OF, "value-without-source"])
def test_a_rule_is_found_by_its_name(name: str) -> None:
    assert rule_named(name).name == name


def test_a_name_that_is_none_is_refused_with_the_way_to_the_list() -> None:
    with pytest.raises(TallyhookError, match=r"there is no rule 'rated-oddly'.*tallyhook explain"):
        rule_named("rated-oddly")


def test_a_severity_that_is_none_is_refused() -> None:
    with pytest.raises(ValueError, match="severity is one of"):
        rule(severity="terrible", reads="items", since="0.2.0")
