"""Texts that are a unit and nothing else."""

from __future__ import annotations

import pytest

from tallyhook.recognising.unit_words import kind_of_unit, measures_load, plain_words, unit_of


def test_units_by_themselves() -> None:
    assert [unit_of(t) for t in ("lbs.", "(kN)", "T", "t", '"', "ea", "to")] == [
        "lb",
        "kN",
        "ton",
        "t",
        "in",
        None,
        "t",
    ]


@pytest.mark.parametrize(
    ("unit", "kind", "load"),
    [("kg", "load", True), ("ton", "load", True), ("kN", "force", True), ("mm", "length", False)],
)
def test_what_a_unit_measures(unit: str, kind: str, load: bool) -> None:
    assert (kind_of_unit(unit), measures_load(unit)) == (kind, load)


def test_spellings_that_are_more_often_words() -> None:
    assert {"in", "to", "n"} <= plain_words()
    assert not {"kg", "lb", "mm"} & plain_words()
    assert kind_of_unit(None) is None
