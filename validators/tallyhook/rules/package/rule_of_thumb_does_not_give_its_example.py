"""A rule of thumb's coefficient is not its formula's, or does not give its example.

## What it checks
The coefficient in kg/mm2 is the formula's number: short tons by square inches, tonnes by square
centimetres, or kilograms by square millimetres times the grade. Coefficient times the square of
the example's size is the example's load, within 1 %.

## Why it matters
A rule of thumb is used without a table to check it.

## Likely cause
The unit of the diameter or the kind of ton was mistaken in the conversion.

## Example
`use.rules-of-thumb`

| row | item    | formula              | coefficient_kg_mm2 | grade | example_size_mm | example_wll_kg | finding            |
| --- | ------- | -------------------- | ------------------ | ----- | --------------- | -------------- | ------------------ |
| 2   | chain   | SWC_ton = 8 * D^2    | 11.249113          |       | 19.05           | 4082.33        |                    |
| 3   | shackle | SWL_ton = 3 * D^2    | 4.65               |       |                 |                | coefficient_kg_mm2 |
| 4   | chain   | SWL_kg = D^2 * grade * 0.4 | 32           | 80    | 10              | 3150           | example_wll_kg     |
"""

from __future__ import annotations

import re
from fractions import Fraction

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings
from tallyhook.units import factor

TOLERANCE = 0.01


@rule(severity=ERROR, reads="use.rules-of-thumb", since="0.1.0")
def rule_of_thumb_does_not_give_its_example(rules: pd.DataFrame) -> pd.DataFrame:
    given = [_coefficient(f, g) for f, g in zip(rules["formula"], rules["grade"], strict=True)]
    expected = pd.Series(given, index=rules.index, dtype=float)
    wrong = (rules["coefficient_kg_mm2"] / expected - 1).abs() > 1e-5
    load = rules["coefficient_kg_mm2"] * rules["example_size_mm"] ** 2
    off = (rules["example_wll_kg"] / load - 1).abs() > TOLERANCE
    return pd.concat(
        [
            findings(rules[wrong], column="coefficient_kg_mm2", expected=expected[wrong]),
            findings(rules[off], column="example_wll_kg", expected=load[off]),
        ]
    )


def _coefficient(formula: str, grade: float) -> float:
    """Turn the number of a formula in D^2 into kg/mm2; not a number when it has none."""
    unit, _, right = formula.partition(" = ")
    if "D^2" not in right:
        return float("nan")
    number = 1.0
    for part in re.findall(r"(?<![\^\w.])\d+(?:/\d+|\.\d+)?", right):
        number *= float(Fraction(part))
    if "grade" in right:
        number *= grade
    if unit.endswith("_ton"):
        return number * factor("short ton", "kg") / factor("in", "mm") ** 2
    if unit.endswith("_tonne"):
        return number * factor("t", "kg") / factor("cm", "mm") ** 2
    return number
