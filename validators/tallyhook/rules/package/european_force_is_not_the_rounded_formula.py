"""A European proof or breaking force is not its formula, rounded as the tables print it.

## What it checks
Two bar sections at the stress: breaking 400, 800 and 1000 N/mm2, proof 200, 500 and 625 N/mm2 for
grades 4, 8 and 10; rounded to 0.1 kN below 100 kN, to 1 kN from there, and four figures to 10 kN
(EN 818-3 annex A). In the old grade 6 the breaking force is twice the printed proof force, and the
proof force lies between 315 N/mm2 and 2.5 % above.

## Why it matters
A force on a certificate can be told right or wrong without the standard at hand.

## Likely cause
A digit, a neighbouring size, or a force of another grade.

## Example
`chain.forces`

| row | scheme      | grade | size_mm | force    | force_kn | finding  |
| --- | ----------- | ----- | ------- | -------- | -------- | -------- |
| 2   | european    | 80    | 10      | proof    | 78.5     |          |
| 3   | european    | 80    | 10      | breaking | 125      | force_kn |
| 4   | old-grade-6 | 60    | 11.2    | proof    | 63       |          |
| 5   | old-grade-6 | 60    | 11.2    | breaking | 124      | force_kn |

`chain.grades`

| row | scheme      | grade | breaking_stress_n_mm2 | design_factor | proof_to_wll |
| --- | ----------- | ----- | --------------------- | ------------- | ------------ |
| 2   | european    | 80    | 800                   | 4             | 2.5          |
| 3   | old-grade-6 | 60    | 630                   | 4             | 2            |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.formulas import chain_force, round_force
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import beside, findings, numbers

OLD_PROOF_BAND = (0.995, 1.025)
"""Printed proof force over formula in the old grade 6 table, which rounds upwards unevenly."""


@rule(severity=ERROR, reads=("chain.forces", "chain.grades"), since="0.1.0")
def european_force_is_not_the_rounded_formula(
    forces: pd.DataFrame, grades: pd.DataFrame
) -> pd.DataFrame:
    columns = ["breaking_stress_n_mm2", "design_factor", "proof_to_wll"]
    full = beside(forces, grades, ["scheme", "grade"], columns)
    share = (full["proof_to_wll"] / full["design_factor"]).where(full["force"] == "proof", 1.0)
    stress = full["breaking_stress_n_mm2"] * share
    formula = _chain_forces(full["size_mm"], stress)
    european = full["scheme"] == "european"
    printed = numbers(formula, round_force)
    wrong = european & ((full["force_kn"] - printed).abs() > 1e-6)
    old = full[full["scheme"] == "old-grade-6"]
    proof = old[old["force"] == "proof"]
    ratio = proof["force_kn"] / formula[proof.index]
    low, high = OLD_PROOF_BAND
    wrong_proof = proof[(ratio < low) | (ratio > high)]
    breaking = old[old["force"] == "breaking"]
    twice = beside(breaking, proof, ["scheme", "grade", "size_mm"], ["force_kn"])
    expected = 2 * twice["force_kn_other"]
    wrong_breaking = (twice["force_kn"] - expected).abs() > 1e-6
    return pd.concat(
        [
            findings(full[wrong], column="force_kn", expected=printed[wrong]),
            findings(wrong_proof, column="force_kn", expected=formula[wrong_proof.index]),
            findings(twice[wrong_breaking], column="force_kn", expected=expected[wrong_breaking]),
        ]
    )


def _chain_forces(size_mm: pd.Series, stress: pd.Series) -> pd.Series:
    """Give the force on two bar sections for each row [kN]."""
    forces = [chain_force(d, s) for d, s in zip(size_mm, stress, strict=True)]
    return pd.Series(forces, index=size_mm.index, dtype=float)
