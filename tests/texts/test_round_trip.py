"""A known item, written in any of the notations of the trade, reads back as itself.

The ratings come from the project's own packages; what is tested is that writing and reading agree,
and that nothing that is left out is made up.
"""

from __future__ import annotations

import time

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tallyhook.texts.description import describe
from tallyhook.texts.scan import Context

SIZES = [
    (7, "1/4"),
    (7, "9/32"),
    (8, "5/16"),
    (10, "3/8"),
    (11, "7/16"),
    (13, "1/2"),
    (16, "5/8"),
    (20, "3/4"),
    (32, "1-1/4"),
]
INCH = ['{}"', "{} in", "{} inch", "{}in.", '{} "', "{}''"]
METRIC = ["{} mm", "{}mm", "Ø{} mm", "{}MM"]
GRADES = {
    30: ["G30", "Gr. 30", "grade 30", "proof coil"],
    43: ["G43", "grade 43", "Gr 43", "high test"],
    70: ["G70", "GR70", "grade 70", "Grade 700"],
    80: ["G80", "Gr. 8", "grade 80", "T(8)", "GK8", "Kl. 8", "Güteklasse 8"],
    100: ["G100", "grade 100", "Gr 10", "V(10)", "GK 10"],
}
POUNDS = [
    "{:,} lb",
    "{} lbs",
    "{:,}#",
    "{:,} LBS",
    "WLL {:,} lb",
    "WLL: {:,} lbs.",
    "{:,} lb WLL",
    "rated load {} lb",
    "WLL (lb) {}",
]
KILOS = ["{} kg", "WLL {} kg", "Tragfähigkeit {} kg", "CMU {} kg", "{}kg WLL"]
THINGS = [
    ("chain", "chain", None, None), ("Kette", "chain", None, None),
    ("clevis grab hook", "grab-hook", "grab", "clevis"), ("eye grab hook w/ cradle", "grab-hook", "cradle-grab", "eye"),
    ("eye sling hook", "hook", None, "eye"), ("clevis self-locking hook", "hook", "self-locking", "clevis"),
    ("Gabelkopf-Lasthaken", "hook", None, "clevis"), ("foundry hook", "hook", "foundry", None), ("coupling link", "link", None, None),
]  # fmt: skip
JOINS = [" ", ", ", " - ", " | ", "; "]
LENGTHS = [
    "",
    "20 ft",
    "x 3 m",
    "wt 2.1 lb",
    "10 pcs",
    "throat 1-1/8 in",
    "length 6 ft",
    "$12.50",
    "item 4711",
]


@st.composite
def written(draw: st.DrawFn) -> tuple[str, dict[str, object]]:
    thing, kind, form, connection = draw(st.sampled_from(THINGS))
    mm, inch = draw(st.sampled_from(SIZES))
    grade = draw(st.sampled_from(sorted(GRADES)))
    us = draw(st.booleans())
    size = (
        draw(st.sampled_from(INCH)).format(inch) if us else draw(st.sampled_from(METRIC)).format(mm)
    )
    load = draw(st.integers(10, 900)) * 100
    wll = draw(st.sampled_from(POUNDS if us else KILOS)).format(load)
    parts = [thing, size, draw(st.sampled_from(GRADES[grade])), wll, draw(st.sampled_from(LENGTHS))]
    order = draw(st.permutations([p for p in parts if p]))
    text = draw(st.sampled_from(JOINS)).join(order)
    expected = {
        "kind": kind,
        "form": form,
        "connection": connection,
        "mm": mm,
        "inch": inch if us else None,
        "grade": grade,
        "load": load,
        "unit": "lb" if us else "kg",
    }
    return text, expected


@settings(max_examples=500, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(written())
def test_what_is_read_is_what_was_written_and_never_anything_else(
    item: tuple[str, dict[str, object]],
) -> None:
    text, expected = item
    read = describe(text)
    found = {
        "kind": read.kind, "form": read.form, "connection": read.connection,
        "mm": read.size.mm if read.size else None, "inch": read.size.inch if read.size else None,
        "grade": read.grade, "load": read.wll.value if read.wll else None, "unit": read.wll.unit if read.wll else None,
    }  # fmt: skip
    wrong = {
        k: (found[k], v) for k, v in expected.items() if found[k] is not None and found[k] != v
    }
    assert not wrong
    if text.count(", ") >= 3 or text.count(" | ") >= 3 or text.count("; ") >= 3:
        # with its parts set apart an item is read whole
        assert found == expected


@settings(max_examples=300, deadline=None)
@given(st.text(alphabet=st.sampled_from(list("0123456789/-.,\"' xGTkglbmØ°()#:ton")), max_size=60))
def test_any_jumble_is_survived(text: str) -> None:
    describe(text)
    describe(text, context=Context(decimal=",", system="metric"))


@pytest.mark.parametrize(
    "piece",
    [
        "1/",
        "1-",
        "1 2 3 ",
        "3/8 x ",
        "G80/",
        '("',
        "WLL ",
        "grab hook ",
        "(7,100 lb ",
        "1,",
        "° ",
        "5t-",
        "a",
        "-",
        "3/8-10-",
    ],
)
def test_time_grows_no_faster_than_a_text_is_allowed_to(piece: str) -> None:
    # processor time, so that a busy machine does not matter; a runaway pattern takes minutes
    start = time.process_time()
    describe(piece * 5000)
    assert time.process_time() - start < 2


def test_a_text_that_is_too_long_says_so() -> None:
    assert any(field == "description" for field, _ in describe("chain " * 400).notes)
