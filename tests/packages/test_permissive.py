"""Which way a number lets more pass, for every numeric field of the built-in packages."""

from __future__ import annotations

from typing import Any

import pytest

from tallyhook.packages.package import BUILT_IN, Package, Resource, built_in_packages
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
        ("hooks", "chain-hooks", "wll_lb", {}, "up"),
        ("hooks", "hoist-hooks", "wll_shank_swivel_kg", {}, "up"),
        ("hooks", "hoist-hooks", "design_factor_eye", {}, "down"),
        ("hooks", "ramshorn-hooks", "proof_load_kg", {}, "down"),
        ("hooks", "ramshorn-hooks", "max_permanent_set_percent", {}, "up"),
        ("hooks", "component-forces", "breaking_force_kn", {}, "up"),
        ("hooks", "component-forces", "fatigue_cycles", {}, "down"),
        ("hooks", "special-ratings", "ratio_to_full", {}, "up"),
        # the height of the seat may not fall below its limit, the throat not open above it
        ("hooks", "crane-hook-limits", "limit_mm", {"comparison": "not-below"}, "down"),
        ("hooks", "crane-hook-limits", "limit_factor", {"comparison": "not-above"}, "up"),
        ("hooks", "crane-hook-limits", "nominal_mm", {}, "neither"),
        ("hooks", "design-factors", "design_factor", {}, "down"),
        ("hooks", "design-factors", "proof_to_wll_max", {}, "up"),
        ("hooks", "proof-loads", "proof_excess_kg", {}, "down"),
        # a range of ratings: whether its proof is the larger one, the neighbouring rows say
        ("hooks", "proof-loads", "swl_to_kg", {}, "neither"),
        ("hooks", "forms", "load_angle_from_deg", {}, "down"),
        ("hooks", "forms", "load_angle_to_deg", {}, "up"),
        ("hooks", "suits", "above_c", {}, "up"),
    ],
)  # fmt: skip
def test_a_number_lets_more_pass_as_the_trade_has_it(
    package: str, table: str, column: str, row: dict[str, str], way: str
) -> None:
    field = built_in_packages()[package].resources[table].fields[column]
    assert permissive_way(field, row) == way


@pytest.mark.parametrize("package", BUILT_IN)
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
