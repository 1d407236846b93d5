"""Which hooks carry the rating of their chain is said in one place, and everyone reads it there.

EN 1677-1: hooks that are components of a sling are rated as the chain they are matched to. Foundry
and self-locking hooks: hooks.special-ratings. Grab hooks: grab-hooks.deductions.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import polars as pl
import pytest

from tallyhook.matching.match import match
from tallyhook.model.items import items_frame
from tallyhook.packages.package import Package
from tallyhook.packages.rated_as_chain import connections_rated_as_chain, forms_rated_as_chain

AS_CHAIN = {"self-closing", "self-locking", "foundry", "cradle-grab"}
CONNECTIONS = {
    "eye", "reverse-eye", "clevis", "positioning-swivel", "bearing-swivel", "sliding-choker",
}  # fmt: skip


def test_the_forms_and_connections_that_are_rated_as_their_chain() -> None:
    assert set(forms_rated_as_chain()) == AS_CHAIN
    assert set(forms_rated_as_chain(less_a_deduction=True)) == AS_CHAIN | {"grab"}
    assert set(connections_rated_as_chain()) == CONNECTIONS


def test_every_other_hook_is_rated_by_its_maker(
    reference: pl.DataFrame, packages: Mapping[str, Package]
) -> None:
    ten: dict[str, Any] = {
        "kind": "hook", "grade": 80, "size_mm": 10.0, "wll_kg": 3150.0, "wll_unit": "kg",
        "wll_step_kg": 10.0, "form": "self-closing", "connection": "eye",
    }  # fmt: skip
    forms = packages["hooks"]["forms"]["form"].to_list()
    connections = packages["hooks"]["connections"]["connection"].to_list()
    rows = [ten | {"form": form} for form in forms]
    rows += [ten | {"connection": connection} for connection in connections]
    found = match(items_frame({"row": n} | row for n, row in enumerate(rows)), reference)
    compared = found.filter(pl.col("outcome") == "agree")
    assert set(compared["form"]) == AS_CHAIN
    assert set(compared["connection"]) == CONNECTIONS


@pytest.mark.parametrize("form", ["sorting", "plate", "ladle"])
def test_a_hook_of_its_own_kind_is_not_compared(form: str, reference: pl.DataFrame) -> None:
    row = {"row": 2, "kind": "hook", "form": form, "wll_kg": 3150.0, "wll_unit": "kg"}
    found = match(items_frame([row]), reference)
    assert found["why"].to_list() == [
        "this form is rated by its maker, no general table rates it by chain size"
    ]
