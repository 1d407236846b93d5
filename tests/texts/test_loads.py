"""Loads: spellings of units, ranges, pairs, and what the words beside a load say it is.

The pairs of pounds and kilograms are those 49 CFR 393.108 prints side by side (3/8 in: grade 70
6,600 lb and 2,990 kg, grade 80 7,100 lb and 3,200 kg). 1 lb is 0.45359237 kg (1959 agreement); a
short ton is 2,000 lb. 10 mm grade 8: 3,15 t, 78.5 kN proof, 126 kN breaking (EN 818-2).
"""

from __future__ import annotations

import pytest

from tallyhook.texts.description import describe
from tallyhook.texts.load_cells import read_load
from tallyhook.texts.scan import Context

LB = 0.45359237


@pytest.mark.parametrize(
    ("text", "kg", "step_kg"),
    [
        ("7,100 lb", 7100 * LB, 100 * LB),
        ("7100#", 7100 * LB, 100 * LB),
        ("7100 LBS.", 7100 * LB, 100 * LB),
        ("12 000 lb", 12000 * LB, 1000 * LB),
        ("3.15 t", 3150, 10),
        ("3,15 t", 3150, 10),
        ("3.15 tonnes", 3150, 10),
        ("3,15 Tonnen", 3150, 10),
        ("3.0 MT", 3000, 100),
        ("3.2 metric tons", 3200, 100),
        ("3150kg", 3150, 10),
        ("4.250 kg", 4250, 10),  # a rating of 4.25 kg does not exist
        ("3,150 t", 3150, 1),  # nor one of 3,150 t
        ("1.5 short tons", 3000 * LB, 200 * LB),
        ("1.5 ton (short)", 3000 * LB, 200 * LB),
        ("WLL 7,100 lb", 7100 * LB, 100 * LB),
        ("max. 2000 kg", 2000, 1000),
        ("2000*", 2000, 1000),
    ],
)
def test_a_load_is_read_with_its_unit(text: str, kg: float, step_kg: float) -> None:
    load = read_load(text, unit="kg" if text == "2000*" else None).load
    assert (
        load is not None and load.kg == pytest.approx(kg) and load.step_kg == pytest.approx(step_kg)
    )


def test_a_force_is_read_as_the_load_it_holds() -> None:
    load = read_load("31.4 kN").load
    assert (
        load is not None
        and load.kn == pytest.approx(31.4)
        and load.kg == pytest.approx(31400 / 9.80665)
    )


def test_the_unit_of_the_column_stands_in_for_a_missing_one_only() -> None:
    assert read_load("3150", unit="kg").load.kg == 3150  # type: ignore[union-attr]
    assert read_load("3.15 t", unit="kg").load.kg == 3150  # type: ignore[union-attr]
    read = read_load("3150")
    assert read.load is None and read.note == "'3150' has no unit"


def test_two_units_of_one_rating_are_both_read() -> None:
    read = read_load("7,100 lb (3,200 kg)")
    assert read.load is not None and read.second is not None
    assert (read.load.unit, read.second.unit, read.second.kg) == ("lb", "kg", 3200)


@pytest.mark.parametrize("text", ["3.55 tons", "3.55 ton", "3.55T"])
def test_a_bare_ton_keeps_its_number_and_gives_both_readings(text: str) -> None:
    read = read_load(text)
    assert read.load is not None and (read.load.value, read.load.unit, read.load.kg) == (
        3.55,
        "ton",
        None,
    )
    assert read.note is not None and "3,221 kg" in read.note and "3,550 kg" in read.note


def test_a_capital_t_is_the_tonne_in_a_metric_list() -> None:
    load = read_load("3.15T", context=Context(system="metric")).load
    assert load is not None and (load.unit, load.kg) == ("t", 3150)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("1.12T - 15T", "range"),
        ("1.12 - 15 t", "range"),
        ("2 to 4 t", "range"),
        ("2/4/8 t", "could not"),
        ("1.12 t, 15 t", "range"),
        ("$45.00", "price"),
        ("-3150 kg", "no number"),
        ("0", "zero"),
        (">2000 kg", "exact"),
        ("ca. 2000 kg", "exact"),
        ("see chart", "no number"),
        ("3150 bananas", "not"),
        ("7,100 lb 6,600 lb", "several"),
        ("wt 3.2 kg", "no load rating"),
    ],
)
def test_what_is_no_one_rating_is_not_read_and_says_why(text: str, says: str) -> None:
    read = read_load(text, unit="kg" if text == "0" else None)
    assert read.load is None and read.note is not None and says in read.note


@pytest.mark.parametrize("text", ["", "-", "—", "n/a", "TBD"])
def test_an_empty_cell_says_nothing(text: str) -> None:
    assert read_load(text, unit="kg").load is None and read_load(text, unit="kg").note is None


@pytest.mark.parametrize(
    ("text", "unit", "decimal", "value"),
    [("4.250", "kg", ",", 4250), ("4,250", "kg", ".", 4250), ("3.150", "t", ".", 3.15), ("3.150", "t", None, 3.15), ("7,100", "lb", None, 7100), ("31.400", "kN", None, 31.4), ("1.12", "t", ",", 1.12)],
)  # fmt: skip
def test_marks_are_read_by_the_list_and_else_by_what_a_rating_can_be(
    text: str, unit: str, decimal: str | None, value: float
) -> None:
    load = read_load(text, unit=unit, context=Context(decimal=decimal)).load
    assert load is not None and load.value == value


def test_a_mark_that_contradicts_the_list_is_not_read() -> None:
    # in a list with decimal points 3.150 kg is 3.15 kg, which no rating is
    read = read_load("3.150", unit="kg", context=Context(decimal="."))
    assert read.load is None and read.note is not None and "3,150" in read.note


@pytest.mark.parametrize(
    "text",
    ["1,000 lb per pair", "1,000 lb/pair", "500 kg pro Paar", "500 kg la paire", "500 kg por par"],
)
def test_a_rating_for_a_pair_is_marked(text: str) -> None:
    read = read_load(text)
    assert read.pair and read.load is not None and read.note is not None and "pair" in read.note


@pytest.mark.parametrize(
    ("text", "wll", "proof", "breaking"),
    [
        ("WLL 7,100 lb MBS 28,400 lb", 7100, None, 28400),
        ("7,100 lb WLL 28,400 lb MBS", 7100, None, 28400),
        ("7,100 lb WLL, proof 14,200 lb, 28,400 lb min. breaking strength", 7100, 14200, 28400),
        ("M.B.F. 126 kN, WLL 31.4 kN", 31.4, None, 126),
        ("2t proof 50.3 kN", 2, 50.3, None),
        ("Tragfähigkeit 3,15 t, Bruchkraft 126 kN", 3.15, None, 126),
        ("CMU 3150 kg, charge de rupture 126 kN", 3150, None, 126),
        ("carga de trabajo 3150 kg, carga de rotura 126 kN", 3150, None, 126),
        ("C.M.U. : 3,15 t", 3.15, None, None),
        ("WLL (lb): 7100", 7100, None, None),
        ("rated capacity of 7,100 lbs", 7100, None, None),
        ("breaking load 28,400 lb", None, None, 28400),
        ("7,100 lb", 7100, None, None),
    ],
)
def test_the_word_beside_a_load_says_what_it_is(
    text: str, wll: float | None, proof: float | None, breaking: float | None
) -> None:
    read = describe(f"chain, {text}, grade 80")
    found = [x.value if x else None for x in (read.wll, read.proof, read.breaking)]
    assert found == [wll, proof, breaking]


@pytest.mark.parametrize(
    "text",
    [
        "wt 3.2 lb",
        "3.2 lb",
        "weight 120 kg",
        "Gewicht 150 kg",
        "1.46 lb/ft",
        "2.2 kg/m",
        "150 kg per m",
        "400 lb drum",
        "weight per 100 pcs: 250 lb",
        "$7,100",
        "qty 7100",
        "item 7100",
        "LC 4000 daN",
        "31.4 kN",
        "7,100 lb and 6,600 lb",
        "up to 15 t",
        "bis 15 t",
        "ab 2 t",
        "1.12T - 15T",
        "WLL 7100",
        "2 t per leg",
        "tested to 6,300 kg",
        "4.250 kg",
    ],
)
def test_other_numbers_are_no_rating(text: str) -> None:
    assert describe(f"chain grade 80 {text}").wll is None


def test_a_size_and_a_load_are_not_run_together() -> None:
    read = describe("chain 10 800 kg")
    assert read.wll is None and read.size is None and {n[0] for n in read.notes} == {"wll", "size"}
    assert describe("chain 3/8 in WLL 12 000 lb").wll.value == 12000  # type: ignore[union-attr]


@pytest.mark.parametrize(("text", "factor"), [("4:1", 4), ("5 : 1", 5), ("design factor 4:1", 4), ("safety factor of 4", 4), ("Sicherheitsfaktor 4", 4), ("4 to 1", 4), ("12:30:1", None), ("3 to 1 t", None)])  # fmt: skip
def test_design_factors_are_read(text: str, factor: float | None) -> None:
    assert describe(f"chain {text}").design_factor == factor
