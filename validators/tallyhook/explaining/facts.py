"""The facts of the trade that mistakes follow from, as the rating packages have them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import polars as pl

from tallyhook.packages.package import Package

__all__ = ["FORCES", "TradeFacts", "trade_facts"]

FORCES = ("breaking", "proof")

_RATIO = {"breaking": "design_factor", "proof": "proof_to_wll"}
_LEAST_OF_RATIO, _MOST_OF_RATIO = 0.97, 1.1
"""Room below and above the ratios of force to rating: European ratings are rounded down by up to
6 percent, and forces are rounded (as the rules on forces have it)."""

_MOST_DOCUMENTS = 0.75
_COMMON_STEP, _RARER_STEPS = 0.3, (0.15, 0.08, 0.08, 0.04, 0.04)
"""Shares of a step of heat that most documents have, and of the others, the mildest first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TradeFacts:
    """What is needed of chain.grades, chain.slings, use and grab-hooks.

    Attributes
    ----------
    force_ratios : mapping of (force, scheme, grade)
        Breaking or proof force over the rating.
    stresses : mapping of (force, scheme, grade)
        Mean stress of that force [N/mm2], where documents take forces from the diameter.
    ratio_range : mapping of force
        The least and the most that the force of a listed part is of its rating.
    lifting_grades : frozenset of int
        Grades that at least one scheme rates for overhead lifting.
    next_grades : frozenset of (scheme, grade, grade)
        Grades that stand beside each other in the tables of a scheme.
    leg_factors : mapping of (scheme, legs, angle)
        Rating of a sling over that of one leg, by its largest angle to the vertical [deg].
    deducted : float
        What a grab hook without cradle keeps of its chain's rating, by the deduction that is shown.
    hitch_factors : mapping of name
        ``choke``, ``choke of a round load`` and ``basket``: rating over the straight one.
    heat_factors : mapping of factor
        Share of the steps of the heat tables that have this factor.
    """

    force_ratios: Mapping[tuple[str, str, int], float]
    stresses: Mapping[tuple[str, str, int], float]
    ratio_range: Mapping[str, tuple[float, float]]
    lifting_grades: frozenset[int]
    next_grades: frozenset[tuple[str, int, int]]
    leg_factors: Mapping[tuple[str, int, float], float]
    deducted: float
    hitch_factors: Mapping[str, float]
    heat_factors: Mapping[float, float]

    def leg_factor(self, scheme: str, legs: int, angle_deg: float) -> float | None:
        """Rating of a sling over that of one leg; None where no document of the scheme says."""
        return self.leg_factors.get((scheme, legs, angle_deg))

    def leg_angles(self, scheme: str) -> list[float]:
        """The angles at which two legs of a scheme carry more than one, the narrowest first."""
        return sorted(
            angle
            for (of, legs, angle), times in self.leg_factors.items()
            if (of, legs) == (scheme, 2) and times > 1
        )


def trade_facts(packages: Mapping[str, Package]) -> TradeFacts:
    """Read the facts from the packages ``chain``, ``use``, ``hooks`` and ``grab-hooks``."""
    grades = packages["chain"]["grades"]
    records = grades.to_dicts()
    return TradeFacts(
        force_ratios={
            (force, g["scheme"], g["grade"]): g[column]
            for g in records
            for force, column in _RATIO.items()
            if g[column]
        },
        stresses={
            (force, g["scheme"], g["grade"]): stress
            for g in records
            for force in FORCES
            if (stress := _stress(force, g))
        },
        ratio_range=_ratio_range(grades, packages["hooks"]["hoist-hooks"]),
        lifting_grades=frozenset(g["grade"] for g in records if g["overhead_lifting"]),
        next_grades=_next_grades(grades),
        leg_factors=_leg_factors(packages["chain"]["slings"]),
        deducted=_deducted(packages["grab-hooks"]["deductions"]),
        hitch_factors=_hitch_factors(packages["use"]["hitch-factors"]),
        heat_factors=_heat_factors(packages["use"]["heat-factors"]),
    )


def _stress(force: str, grade: Mapping[str, Any]) -> float | None:
    """The stress of a grade that a document defines; American grades are numbers of their own."""
    breaking, computed = grade["breaking_stress_n_mm2"], grade["breaking_stress_n_mm2_known_by"]
    if breaking is None or computed == "computed":
        return None
    if force == "breaking":
        return float(breaking)
    if not grade["proof_to_wll"] or not grade["design_factor"]:
        return None
    return float(breaking / grade["design_factor"] * grade["proof_to_wll"])


def _ratio_range(grades: pl.DataFrame, hoist: pl.DataFrame) -> dict[str, tuple[float, float]]:
    """The lowest and highest ratios that a table gives chain or a hook, with room for rounding."""
    of_hooks = [*hoist["design_factor_eye"], *hoist["design_factor_shank_swivel"]]
    ratios = {force: grades[column].drop_nulls().to_list() for force, column in _RATIO.items()}
    ratios["breaking"] += [factor for factor in of_hooks if factor is not None]
    return {
        force: (_LEAST_OF_RATIO * min(found), _MOST_OF_RATIO * max(found))
        for force, found in ratios.items()
    }


def _next_grades(grades: pl.DataFrame) -> frozenset[tuple[str, int, int]]:
    tables = grades.group_by("scheme").agg(pl.col("grade").unique().sort())
    beside = [(scheme, *two) for scheme, found in tables.iter_rows() for two in pairwise(found)]
    return frozenset(beside) | {(scheme, upper, lower) for scheme, lower, upper in beside}


def _leg_factors(slings: pl.DataFrame) -> dict[tuple[str, int, float], float]:
    straight = slings.filter((pl.col("hitch") == "straight") & pl.col("legs").is_not_null())
    columns = straight.select("scheme", "legs", "angle_to_deg", "leg_factor").unique()
    return {
        (scheme, legs, float(angle)): float(times) for scheme, legs, angle, times in columns.rows()
    }


def _deducted(deductions: pl.DataFrame) -> float:
    shown = deductions.filter(pl.col("shown") & ~pl.col("cradle"))
    return float(100 - shown["deduction_percent"].item()) / 100


def _hitch_factors(table: pl.DataFrame) -> dict[str, float]:
    """The factors that tables give a sling, whatever the angle of its choke."""
    of_slings = table.filter(
        pl.col("factor_of").is_in(["single-leg-rating", "sling-rating"])
        & pl.col("choke_angle").is_in(["not stated", "not applicable"])
    )
    found = {
        (hitch, shape): factor
        for hitch, shape, factor in of_slings.select("hitch", "load_shape", "factor").rows()
    }
    return {
        "choke": found["choke", "any"],
        "choke of a round load": found["choke", "round"],
        "basket": found["basket", "round"],
    }


def _heat_factors(table: pl.DataFrame) -> dict[float, float]:
    """How common each factor is: most documents have the first two steps, the rest is rarer."""
    hot = table.filter(pl.col("factor_while_hot") < 1)
    documents = hot["source"].n_unique()
    found = hot.group_by("factor_while_hot").agg(pl.col("source").n_unique().alias("in"))
    common = found.filter(pl.col("in") >= _MOST_DOCUMENTS * documents)["factor_while_hot"]
    rarer = found.filter(pl.col("in") < _MOST_DOCUMENTS * documents)["factor_while_hot"]
    mildest_first = zip(rarer.sort(descending=True), _RARER_STEPS, strict=False)
    return dict.fromkeys(common, _COMMON_STEP) | dict(mildest_first)
