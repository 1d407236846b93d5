"""Grades, against the chain mark examples of 49 CFR 393.108 and the grade symbols of EN 818-1.

49 CFR 393.108, Chain Mark Examples: 3, 30, 300 proof coil; 4, 43, 430 high test; 7, 70, 700
transport; 8, 80, 800 and 10, 100, 1000 alloy. EN 818-1 (restated): M is 4, S is 6, T is 8, V is 10.
RR-C-271G 1.2.1: class 1 grade A is 80, grade B 100, class 2 is 43, 3 is 70, 4 is 30.
"""

from __future__ import annotations

import pytest

from tallyhook.texts.description import describe
from tallyhook.texts.grades import read_grade
from tallyhook.texts.scan import Context

MARKS = {
    30: ["3", "30", "300"],
    43: ["43", "430"],
    70: ["7", "70", "700"],
    80: ["8", "80", "800"],
    100: ["10", "100", "1000"],
}
FORMS = [
    "{}",
    "G{}",
    "G-{}",
    "Gr {}",
    "Gr. {}",
    "GR{}",
    "grade {}",
    "Grade-{}",
    "GK {}",
    "GK{}",
    "Kl. {}",
    "Güteklasse {}",
    "Gueteklasse {}",
    "classe {}",
    "clase {}",
    "grado {}",
]


@pytest.mark.parametrize(("grade", "mark"), [(g, m) for g, marks in MARKS.items() for m in marks])
@pytest.mark.parametrize("form", FORMS)
def test_every_mark_of_the_law_is_read_in_a_grade_column(grade: int, mark: str, form: str) -> None:
    assert read_grade(form.format(mark)).grade == grade


@pytest.mark.parametrize(("grade", "mark"), [(g, m) for g, marks in MARKS.items() for m in marks])
@pytest.mark.parametrize("form", FORMS[1:])
def test_every_mark_of_the_law_is_read_in_a_description(grade: int, mark: str, form: str) -> None:
    assert describe(f'3/8" chain, {form.format(mark)}, 20 ft').grade == grade


@pytest.mark.parametrize(
    ("text", "grade"), [("T", 80), ("T(8)", 80), ("T8", 80), ("Grade T", 80), ("V", 100), ("V(10)", 100), ("S(6)", 60), ("M(4)", 40), ("8 (80)", 80), ("80/8", 80), ("120", 120), ("G12", 120)]
)  # fmt: skip
def test_grade_letters_are_read(text: str, grade: int) -> None:
    assert read_grade(text).grade == grade


def test_four_is_high_test_in_an_american_list_and_european_four_in_a_metric_one() -> None:
    assert read_grade("4", context=Context(system="us")).grade == 43
    assert read_grade("4", context=Context(system="metric")).grade == 40
    assert read_grade("4").grade is None and read_grade("4").note is not None


@pytest.mark.parametrize(
    ("text", "grade"),
    [
        ("proof coil", 30),
        ("BBB", 30),
        ("high test", 43),
        ("Hi-Test", 43),
        ("transport", 70),
        ("binder chain", 70),
        ("trucker's chain", 70),
    ],
)
def test_trade_names_are_read(text: str, grade: int) -> None:
    # ASTM A413/A413M-21, 1.2 names proof coil, high test and transport; the rest is common practice
    assert read_grade(text).grade == grade


@pytest.mark.parametrize(
    "text",
    [
        "alloy",
        "40",
        "G40",
        "80/100",
        "G80 or G100",
        "L",
        "P(5)",
        "63",
        "5",
        "316L",
        "8.8",
        "A",
        "Grade 8A",
        "2H",
        "x",
    ],
)
def test_marks_that_name_no_one_grade_are_not_read(text: str) -> None:
    read = read_grade(text)
    assert read.grade is None and read.note is not None


@pytest.mark.parametrize(
    ("text", "grade"),
    [
        ("Chain RR-C-271 Type I Class 2 3/8", 43),
        ("RR-C-271G Type I, class 4 chain", 30),
        ("RR-C-271 TY I CL 1 grade A chain", 80),
        ("RR-C-271 Type I class 1 grade B", 100),
        ("RR-C-271 Type I class 3", 70),
        ("RR-C-271 Type I class 1", None),
    ],
)
def test_federal_classes_are_no_grades_of_the_same_number(text: str, grade: int | None) -> None:
    assert describe(text).grade == grade


@pytest.mark.parametrize(
    "text",
    [
        "Chain to EN 818-2, 10 mm",
        "Grade 8 hex bolt 1/2-13",
        "Chain G1/2 thread",
        "10-8-123X chain",
        "chain class 2 (5,000 lb)",
        "G80A-1234 hook",
        "G100-2204 clevis hook",
        "DIN 766 chain 8 mm",
        "Chain gr 3/8",
        "hook, upgrade 80 mm",
    ],
)
def test_other_numbers_are_no_grade(text: str) -> None:
    assert describe(text).grade is None


def test_two_marks_and_contradicting_names_are_not_read() -> None:
    assert describe("G80 chain, also fits G100").grade is None
    read = describe("G80 proof coil chain 3/8")
    assert read.grade is None and ("grade", "the mark says 80 and the name says 30") in read.notes


def test_a_mark_explains_an_unclear_one() -> None:
    assert describe("High test chain G40 5/16 in").grade == 43
    assert describe("G4 (G43) chain 1/4 in").grade == 43
