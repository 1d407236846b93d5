"""The figures that the README gives are those that were measured."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def test_the_figures_of_causes_in_the_readme_are_the_measured_ones() -> None:
    measured = (ROOT / "docs" / "cause-measure.md").read_text("utf-8")
    readme = (ROOT / "README.md").read_text("utf-8")
    seeded = re.search(r"Mistakes seeded: ([\d,]+); found: ([\d.]+ %)", measured)
    first = re.search(r"where it can be known: ([\d.]+ %)", measured)
    clean = re.search(r"Clean lists: ([\d,]+) rows, (\d+) at", measured)
    assert seeded and first and clean
    assert f"| seeded mistakes found | {seeded[2]} of {seeded[1]} |" in readme
    assert f"where it can be known | {first[1]} |" in readme
    assert f"| {clean[2]} of {clean[1]} |" in readme
