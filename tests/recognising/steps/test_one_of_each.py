"""Of several columns of one role one is it, all say the same, or none is taken: in any order."""

from __future__ import annotations

import itertools

import pytest

from column_evidence import SIZES, Evidence
from tallyhook.recognising.evidence import Columns
from tallyhook.recognising.steps.one_of_each import one_of_each

# the grades stand in the words of every row
WORDS = ("Alloy chain G80 10 mm", "Alloy chain G80 13 mm", "chain G70 8 mm", "chain G80 7 mm")
TRUE, FALSE = ("80", "80", "70", "80"), ("100", "100", "100", "80")
CLASSES = ("A", "B", "A", "C")

Given = tuple[str, tuple[str, ...], str]


def judged(*given: Given) -> list[dict[str, list[tuple[str, str | None]]]]:
    """Judge the columns in every order: by heading the role that is kept or refused."""
    found = []
    for order in itertools.permutations(given):
        evidence = Evidence(*((heading, cells) for heading, cells, _ in order))
        for place, (_, _, role) in enumerate(order):
            evidence.known(place, role)
        found.append(_by_heading(one_of_each(evidence.columns, evidence.table)))
    return found


def _by_heading(columns: Columns) -> dict[str, list[tuple[str, str | None]]]:
    found: dict[str, list[tuple[str, str | None]]] = {}
    for column in sorted(columns, key=lambda c: (c.heading, c.role)):
        found.setdefault(column.heading, []).append((column.role, column.refused_role))
    return found


GRADE, REFUSED, DOUBTED = ("grade", None), ("ignore", None), ("ignore", "grade")


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        # headed so and nothing more
        ([("Grade", TRUE), ("Chain grade of sling", FALSE)], {"Grade": [GRADE]}),
        # of one heading: the words of the rows say which
        ([("Grade", FALSE), ("Grade ", TRUE)], {"Grade ": [GRADE]}),
        # one holds no grades at all
        ([("Grade", CLASSES), ("Grade ", TRUE)], {"Grade ": [GRADE]}),
        ([("Zonk grade", CLASSES), ("Grade of hook", TRUE)], {"Grade of hook": [GRADE]}),
        # both say the same: 8 is 80
        (
            [("Grade", TRUE), ("Grade ", ("8", "8", "70", "8"))],
            {"Grade": [GRADE], "Grade ": [GRADE]},
        ),
        # the heading says one and the words the other
        (
            [("Grade", FALSE), ("Grade of hook", TRUE)],
            {"Grade": [DOUBTED], "Grade of hook": [DOUBTED]},
        ),
        # neither is what the words say
        (
            [("Grade", FALSE), ("Grade ", ("43", "43", "43", "30"))],
            {"Grade": [DOUBTED], "Grade ": [DOUBTED]},
        ),
    ],
)
def test_which_grade_is_it(
    given: list[tuple[str, tuple[str, ...]]],
    expected: dict[str, list[tuple[str, str | None]]],
) -> None:
    columns = [("Description", WORDS, "description")]
    columns += [(heading, cells, "grade") for heading, cells in given]
    wanted = {heading: [REFUSED] for heading, _ in given} | expected
    for found in judged(*columns):
        found.pop("Description")
        assert found == wanted


def test_without_words_two_of_one_heading_are_in_doubt_and_named_by_letter() -> None:
    given = Evidence(("Grade", TRUE), ("Grade", FALSE)).known(0, "grade").known(1, "grade")
    first, second = one_of_each(given.columns, given.table)
    assert first.why == second.why
    assert first.why == (
        "in doubt: 'Grade' in column A and 'Grade' in column B could each be the grade"
    )
    assert first.refused_role == second.refused_role == "grade"


def test_a_named_column_is_it() -> None:
    given = Evidence(("Grade", TRUE), ("Zonk grade", FALSE)).known(0, "grade")
    grade, zonk = one_of_each(given.known(1, "grade", named=True).columns, given.table)
    assert (grade.role, zonk.role) == ("ignore", "grade")
    assert grade.why == "the grade is 'Zonk grade'"


def test_sizes_in_two_units_are_both_kept_and_another_size_is_not() -> None:
    given = Evidence(
        ("Tag size", ("30 mm", "40 mm", "50 mm")),
        ("Chain size (in)", ("5/16", "3/8", "1/2")),
        ("Chain size (mm)", ("8", "10", "13")),
    )
    for place, unit in enumerate((None, "in", "mm")):
        given.known(place, "size", unit=unit)
    tag, inches, millimetres = one_of_each(given.columns, given.table)
    assert (inches.role, millimetres.role) == ("size", "size")
    assert (tag.role, tag.why) == ("ignore", "the size is 'Chain size (in)'")


def test_other_matrix_columns_are_other_items() -> None:
    given = Evidence(("MBL G80", SIZES), ("MBL G100", ("1 kN", "2 kN", "3 kN")))
    given.known(0, "breaking", gives={"grade": "80"}).known(1, "breaking", gives={"grade": "100"})
    assert one_of_each(given.columns, given.table) == given.columns


def test_a_class_of_something_gives_way_to_the_grade() -> None:
    given = Evidence(("Quality class", ("1", "2", "1")), ("Grade", ("80", "80", "70")))
    given.known(0, "ignore", refused_role="grade").known(1, "grade")
    quality, _ = one_of_each(given.columns, given.table)
    assert (quality.role, quality.refused_role) == ("ignore", None)
