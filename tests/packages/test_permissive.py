"""Which way a number lets more pass, for every numeric field of the built-in packages."""

from __future__ import annotations

from typing import Any

import pytest

from tallyhook.packages.package import NUMERIC_TYPES, Package, Resource, built_in_packages
from tallyhook.packages.permissive import permissive_way

LIMITS = {"permissive": {"column": "comparison", "up": ["above"], "down": ["below"]}}


@pytest.mark.parametrize(
    ("field", "row", "way"),
    [
        ({"permissive": "up"}, {}, "up"),
        ({"permissive": "down"}, {"comparison": "above"}, "down"),
        ({"permissive": "neither"}, {}, "neither"),
        (LIMITS, {"comparison": "above"}, "up"),
        (LIMITS, {"comparison": "below"}, "down"),
        # a word that nobody listed, a row without one, a field that says nothing: the safe side
        (LIMITS, {"comparison": "exactly"}, "either"),
        (LIMITS, {}, "either"),
        ({}, {}, "either"),
    ],
)
def test_the_way_is_the_fields_or_the_rows(
    field: dict[str, Any], row: dict[str, str], way: str
) -> None:
    assert permissive_way(field, row) == way


def tables(*names: str) -> list[tuple[Package, Resource]]:
    """Give every table of some built-in packages."""
    return [
        (p, r)
        for p in built_in_packages().values()
        if p.name in names
        for r in p.resources.values()
    ]


# facts of the trade, typed from what each number is: not from the descriptors
@pytest.mark.parametrize(
    ("package", "table", "column", "row", "way"),
    [
        ("use", "leg-factors", "leg_factor", {}, "up"),
        ("use", "heat-factors", "temperature_to_c", {}, "up"),
        ("use", "heat-factors", "factor_while_hot", {}, "up"),
        ("use", "edge-factors", "radius_from_diameters", {}, "down"),
        # the least angle to the horizontal and the largest one to the vertical
        ("use", "angle-limits", "angle_deg", {"comparison": "at-least"}, "down"),
        ("use", "angle-limits", "angle_deg", {"comparison": "at-most"}, "up"),
        ("use", "angle-limits", "angle_to_vertical_deg", {"limit": "leg-angle"}, "up"),
        ("use", "angle-limits", "angle_to_vertical_deg", {"limit": "symmetry-leg-angle"}, "down"),
        ("use", "rules-of-thumb", "factor_of_safety", {}, "down"),
        ("use", "rules-of-thumb", "grade", {}, "neither"),
        ("use", "sling-rules", "ratio", {"comparison": "at-least"}, "down"),
        ("use", "sling-rules", "value_mm", {"comparison": "at-most"}, "up"),
        ("use", "sling-rules", "ratio", {"comparison": "exactly"}, "either"),
        ("inspection", "limits", "value_percent", {"comparison": "above"}, "up"),
        ("inspection", "limits", "value_c", {"comparison": "at-or-below"}, "down"),
        ("inspection", "limits", "cap_mm", {}, "up"),
        ("inspection", "intervals", "interval_months", {}, "up"),
        ("inspection", "proof-tests", "proof_to_rated", {}, "down"),
        ("inspection", "marking-rules", "above_kg", {}, "up"),
        ("vocabulary", "causes", "prior", {}, "neither"),
    ],
)  # fmt: skip
def test_a_number_lets_more_pass_as_the_trade_has_it(
    package: str, table: str, column: str, row: dict[str, str], way: str
) -> None:
    field = built_in_packages()[package].resources[table].fields[column]
    assert permissive_way(field, row) == way


@pytest.mark.parametrize("package", ["use", "inspection", "vocabulary"])
def test_every_field_is_described_and_every_number_says_its_way(package: str) -> None:
    lacking = []
    for _, resource in tables(package):
        for name, field in resource.fields.items():
            labels = field.get("enumLabels", {})
            words = field.get("constraints", {}).get("enum", [])
            numeric = field.get("type") in NUMERIC_TYPES
            if not str(field.get("description", "")).endswith("."):
                lacking.append((resource.name, name, "description"))
            if numeric != ("permissive" in field):
                lacking.append((resource.name, name, "permissive"))
            if list(labels) != list(words) or not all(labels.values()):
                lacking.append((resource.name, name, "enumLabels"))
    assert lacking == []


@pytest.mark.parametrize("package", ["use", "inspection", "vocabulary"])
def test_the_words_that_say_a_way_stand_in_their_column(package: str) -> None:
    unknown = []
    for owner, resource in tables(package):
        for name, field in resource.fields.items():
            said = field.get("permissive")
            if isinstance(said, dict):
                there = set(owner.text[resource.name][said["column"]])
                there |= set(resource.fields[said["column"]].get("constraints", {}).get("enum", []))
                listed = {w for way in ("up", "down", "neither") for w in said.get(way, [])}
                unknown += [(resource.name, name, word) for word in sorted(listed - there)]
    assert unknown == []
