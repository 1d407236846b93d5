"""Why an item is held against no rating: the first reason that applies."""

from __future__ import annotations

from typing import Any

import polars as pl
import pytest

from tallyhook.matching.match import CASE_COLUMNS
from tallyhook.matching.refusals import why_not_compared
from tallyhook.model.items import ITEM_SCHEMA

CHAIN = {"kind": "chain", "grade": 80, "size_mm": 10.0, "wll_kg": 3150.0, "wll_unit": "kg"}
HOOK = CHAIN | {"kind": "hook"}
SLING = CHAIN | {"kind": "sling", "legs": 2}

NO_PART = "it is no chain, chain hook, grab hook or chain sling"
PAIR = "the rating is said to be for a pair"
NO_LOAD = "no working load limit could be read"
HOIST = "a hoist hook is rated by its own mark, not by a chain size"
MAKERS = "this form is rated by its maker, no general table rates it by chain size"
NO_SIZE, NO_GRADE = "no size could be read", "no grade could be read"
NO_LEGS = "the number of legs could not be read"
HITCH = "the sling tables rate straight legs, not this hitch"
TON = "it is not said which ton its rating is in"


def _why(fields: dict[str, Any]) -> str | None:
    schema = {c: ITEM_SCHEMA[c] for c in CASE_COLUMNS}
    answer: str | None = why_not_compared(pl.DataFrame([fields], schema=schema, orient="row"))[0]
    return answer


@pytest.mark.parametrize(
    ("fields", "why"),
    [
        (CHAIN, None),
        (CHAIN | {"kind": None}, NO_PART),
        (CHAIN | {"kind": "other"}, NO_PART),
        (CHAIN | {"kind": "link"}, NO_PART),
        (CHAIN | {"kind": "grab-hook"}, None),
        (CHAIN | {"pair": "yes"}, PAIR),
        (CHAIN | {"pair": "yes", "kind": "other"}, NO_PART),  # the first reason that applies
        (CHAIN | {"wll_kg": None}, NO_LOAD),
        (CHAIN | {"wll_kg": None, "wll_unit": None}, NO_LOAD),
        (CHAIN | {"wll_kg": None, "wll_unit": "ton"}, TON),
        (CHAIN | {"wll_kg": None, "wll_unit": "ton", "grade": None}, NO_GRADE),
        (CHAIN | {"size_mm": None}, NO_SIZE),
        (CHAIN | {"size_mm": None, "material": "alloy"}, NO_SIZE),  # no hook
        (CHAIN | {"grade": None}, NO_GRADE),
        (HOOK, None),
        (HOOK | {"size_mm": None, "material": "alloy"}, HOIST),
        (HOOK | {"size_mm": None, "connection": "shank"}, HOIST),
        (HOOK | {"size_mm": None, "connection": "eye"}, NO_SIZE),
        (HOOK | {"size_mm": None}, NO_SIZE),
        (HOOK | {"material": "alloy"}, None),
        # EN 1677-1: a hook with a latch is rated as its chain; a sorting hook is its maker's own
        (HOOK | {"form": "self-closing", "connection": "clevis"}, None),
        (HOOK | {"form": "sorting"}, MAKERS),
        (HOOK | {"form": "sorting", "connection": "eye"}, MAKERS),
        (HOOK | {"connection": "shank"}, MAKERS),
        (HOOK | {"form": "self-closing", "connection": "weld-on"}, MAKERS),
        (CHAIN | {"form": "sorting", "connection": "shank"}, None),  # no hook
        (SLING, None),
        (SLING | {"legs": None}, NO_LEGS),
        (SLING | {"legs": None, "legs_range": "3-4"}, None),
        (CHAIN | {"legs": None}, None),
        (SLING | {"hitch": "choke"}, HITCH),
        (SLING | {"hitch": "basket"}, HITCH),
        (SLING | {"hitch": "straight"}, None),
    ],
)
def test_the_reason_that_an_item_is_not_compared(fields: dict[str, Any], why: str | None) -> None:
    assert _why(fields) == why
