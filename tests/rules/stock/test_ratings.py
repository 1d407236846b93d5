"""Ratings against the published ones, against each other, and in the other unit.

EN 818-2, grade 8: 8 mm 2 t, 10 mm 3.15 t, 13 mm 5.3 t, 16 mm 8 t, 20 mm 12.5 t, 22 mm 15 t.
49 CFR 393.108, grade 80: 5/16 4,500 lb (2,000 kg), 3/8 7,100 lb (3,200 kg), 1/2 12,000 lb (5,400 kg).
EN 818-4 table 3, two legs of 10 mm: 4.25 t to 45 degrees, 3.15 t to 60.
"""

from __future__ import annotations

from typing import Any

import polars as pl
import pytest

from stock_items import example_items
from tallyhook.rules import rule_named

CHAIN = {"kind": "chain", "grade": "80"}
TEN = CHAIN | {"size_mm": "10"}
SCHEME, SERIES, PART = (
    "agrees-only-with-another-scheme",
    "rating-does-not-belong-in-its-series",
    "same-part-number-has-two-ratings",
)


def _rows(found: list[dict[str, Any]]) -> list[int]:
    return [finding["row"] for finding in found]


# --- above, below, between ---


@pytest.mark.parametrize(
    ("rule", "wll"),
    [
        ("rated-above-every-source", "3,400 kg"),
        ("rated-below-every-source", "2,900 kg"),
        # between the European 3,150 kg and the American 3,200 kg
        ("rated-between-the-sources", "3,177 kg"),
    ],
)
def test_a_contradicted_load_is_found_by_one_of_three_rules(rule: str, wll: str, ask: Any) -> None:
    for each in ("above-every-source", "below-every-source", "between-the-sources"):
        found = ask(f"rated-{each}", TEN | {"wll": wll}, TEN | {"wll": "3,150 kg"})
        assert _rows(found) == ([2] if rule == f"rated-{each}" else [])


def test_a_load_that_is_not_compared_is_above_nothing(ask: Any) -> None:
    not_compared = TEN | {"wll": "9 t", "outcome": "not compared", "low_kg": "1", "high_kg": "2"}
    assert ask("rated-above-every-source", not_compared) == []
    assert ask("rated-below-every-source", not_compared | {"low_kg": "10000"}) == []
    assert ask("rated-between-the-sources", not_compared | {"high_kg": "10000"}) == []


def test_bare_tons_above_every_source_are_so_in_both_readings(ask: Any) -> None:
    # 7.1 tons of 2,000 lb are 14,200 lb or 6,441 kg; tons of 1,000 kg are 7,100 kg
    found = ask(
        "rated-above-every-source",
        TEN | {"wll": "7.1 tons"},
        TEN | {"wll": "7.1 t"},
        # the other load of the row is in bare tons
        TEN | {"wll": "7.1 t", "wll2": "9.1 tons"},
    )
    said = "'7.1 tons' may be short tons (6,441 kg) or metric tons (7,100 kg)"
    assert [finding.get("note") for finding in found] == [
        f"{said}, above every source in both readings", None, None,
    ]  # fmt: skip


# --- grab hooks, slings ---


def test_a_bare_grab_hook_at_the_full_rating_and_no_other(ask: Any) -> None:
    hook = {"kind": "grab-hook", "cradle": "no", "grade": "80", "size_mm": "10"}
    found = ask(
        "grab-hook-without-cradle-is-not-reduced",
        hook | {"wll": "3,150 kg"},
        hook | {"wll": "3,600 kg"},  # no rating of 10 mm at all
        hook | {"wll": "2,520 kg"},  # 3,150 kg less a fifth
        hook | {"wll": "3,150 kg", "cradle": ""},
        hook | {"wll": "3,600 kg", "cradle": "yes"},
    )
    assert _rows(found) == [2]


def test_a_sling_of_two_grades_is_held_against_the_lower(ask: Any) -> None:
    sling = {"kind": "sling", "size_mm": "10", "legs": "1", "item": "G100 chain, G80 hook"}
    found = ask(
        "sling-rated-above-its-weakest-part",
        sling | {"wll": "4,000 kg"},
        sling | {"wll": "3,150 kg"},
        sling | {"wll": "2,500 kg"},  # below both: another rule's
        sling | {"wll": "4,000 kg", "item": "G100 chain"},
        sling | {"wll": "4,000 kg", "kind": "chain"},
        sling | {"wll": "4,000 kg", "item": "G80 chain, G100 hook", "grade": "100"},
    )
    assert _rows(found) == [2, 7]


@pytest.mark.parametrize(
    ("vertical", "horizontal", "expected"),
    [
        ("60", "30", "3,150 kg if its legs stand at 60 degrees to the vertical, 4,250 kg if at 30"),
        ("30", "60", "4,250 kg if its legs stand at 30 degrees to the vertical, 3,150 kg if at 60"),
        ("37.5", "52.5", "4,250 kg if its legs stand at 37.5 degrees to the vertical, 3,150 kg if at 52.5"),
    ],
)  # fmt: skip
def test_both_readings_of_a_bare_angle_are_told(
    vertical: str, horizontal: str, expected: str, ask: Any
) -> None:
    row = {
        "kind": "sling", "grade": "80", "size_mm": "10", "legs": "2", "wll": "4,250 kg",
        "angle_if_vertical_deg": vertical, "angle_if_horizontal_deg": horizontal,
    }  # fmt: skip
    (found,) = ask("angle-reference-is-not-said", row)
    assert (found["expected"], found["source"]) == (expected, "dguv-209-021")
    assert found["locator"] == "section 3, chain slings of grade 8"
    # a European list counts from the vertical: nothing is open
    assert ask("angle-reference-is-not-said", row | {"scheme": "european"}) == []


def test_a_scheme_that_fits_the_lax_reading_gives_both_figures(ask: Any) -> None:
    # 10 mm is 3/8 in, 7,100 lb: two legs at 60 degrees to the horizontal 12,300 lb, at 30 7,100 lb
    # (OSHA, Guidance on Safe Sling Use, table 1)
    row = {
        "kind": "sling", "grade": "80", "size_mm": "10", "size_in": "3/8", "legs": "2",
        "wll": "12,300 lb", "angle_if_vertical_deg": "60", "angle_if_horizontal_deg": "30",
    }  # fmt: skip
    (found,) = ask("angle-reference-is-not-said", row)
    assert found["expected"] == (
        "7,100 lb if its legs stand at 60 degrees to the vertical, 12,300 lb if at 30"
    )
    assert found["source"] == "osha-sling-guidance"


# --- sizes that nobody rates ---


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        # 49 CFR 393.108 and the chain specifications: grade 80 from 7/32 to 1-1/4 in; a neighbour
        # that has no inch name is none of an inch shop's
        (CHAIN | {"size_mm": "17", "size_in": "11/16"},
         "a size that a table rates, nearest 5/8 in and 3/4 in"),
        (CHAIN | {"size_mm": "17"}, "a size that a table rates, nearest 16 mm and 18 mm"),
        (CHAIN | {"size_mm": "2"}, "a size that a table rates, nearest 4 mm"),
        (CHAIN | {"size_mm": "60"}, "a size that a table rates, nearest 45 mm"),
        ({"kind": "chain", "grade": "50", "size_mm": "10"},
         "a grade that a table rates for a chain: 30, 40, 43, 60, 70, 80, 100 "
         "(40 and 60 are European 4 and 6)"),
        ({"kind": "sling", "grade": "30", "size_mm": "10"},
         "a grade that a table rates for a sling: 40, 80, 100 (40 and 60 are European 4 and 6)"),
    ],
)  # fmt: skip
def test_a_size_or_grade_that_no_table_rates(row: dict[str, str], expected: str, ask: Any) -> None:
    (found,) = ask("no-source-rates-this-size-and-grade", row)
    assert (found["column"], found["expected"]) == ("size", expected)
    assert found["observed"] == f"{row['size_mm']} mm grade {row['grade']}"


@pytest.mark.parametrize(
    "row",
    [
        {"kind": "link", "grade": "80", "size_mm": "17"},
        {"kind": "chain", "size_mm": "17"},
        {"kind": "chain", "grade": "80"},
        {"kind": "chain", "grade": "80", "size_mm": "16"},
        {"kind": "chain", "grade": "80", "size_mm": "17", "size_mm_to": "18"},
    ],
)
def test_a_part_that_some_table_rates_or_that_nobody_could_look_up(
    row: dict[str, str], ask: Any
) -> None:
    assert ask("no-source-rates-this-size-and-grade", row) == []


@pytest.mark.parametrize("kind", ["hook", "grab-hook", "sling"])
def test_every_kind_that_tables_rate_by_chain_size_is_looked_up(kind: str, ask: Any) -> None:
    (found,) = ask("no-source-rates-this-size-and-grade", CHAIN | {"kind": kind, "size_mm": "17"})
    assert found["expected"].startswith("a size that a table rates, nearest 16 mm and 18 mm")


# --- schemes ---

EUROPEAN = [
    CHAIN | {"size_mm": size, "wll": wll}
    for size, wll in (("10", "3.15 t"), ("13", "5.3 t"), ("16", "8 t"), ("20", "12.5 t"), ("22", "15 t"))
]  # fmt: skip
AMERICAN = CHAIN | {"size_mm": "26", "wll": "21.6 t"}  # 47,700 lb; European 21.2 t


def test_a_row_of_another_scheme_than_its_column_follows(ask: Any) -> None:
    assert _rows(ask(SCHEME, *EUROPEAN, AMERICAN)) == [7]
    assert ask(SCHEME, *EUROPEAN[:4], AMERICAN) == []  # four rows follow nothing
    # another sheet, another column and sizes in inches have schemes of their own
    for own in ({"sheet": "B"}, {"wll_column": "WLL 2"}, {"size_in": "1"}):
        assert ask(SCHEME, *EUROPEAN, AMERICAN | own) == []
    sheets = [{"sheet": "A"} | row for row in (*EUROPEAN, AMERICAN)]
    assert _rows(ask(SCHEME, *sheets)) == [7]


# --- series ---

SORTING = [
    {"kind": "hook", "form": "sorting", "size_mm": size, "wll": f"{kg} kg"}
    for size, kg in (("10", 2000), ("11", 2420), ("12", 2880), ("13", 3380))
]  # 20 kg per square millimetre


def _fifth(kg: float, **fields: str) -> dict[str, str]:
    return {"kind": "hook", "form": "sorting", "size_mm": "20", "wll": f"{kg:g} kg"} | fields


@pytest.mark.parametrize(
    ("kg", "wrong"),
    # 20 mm: 8,000 kg by the fit; 1.35 times is 10,800, and its inverse 5,926
    [(8000, False), (10800, False), (10810, True), (5930, False), (5920, True)],
)
def test_a_rating_that_lies_a_third_off_its_series(kg: float, wrong: bool, ask: Any) -> None:
    assert _rows(ask(SERIES, *SORTING, _fifth(kg))) == ([6] if wrong else [])


def test_what_is_expected_by_the_other_sizes(ask: Any) -> None:
    (found,) = ask(SERIES, *SORTING, _fifth(80000))
    assert found["observed"] == "80000 kg"
    assert found["expected"] == "about 8,000 kg by the other 4 sizes of its series"
    assert found["ratio"] == pytest.approx(10)
    assert found["note"] == "fit: 20.0 kg per square millimetre of diameter"
    unsaid = _fifth(80000, wll="", wll_kg="80000", wll_text="80000")
    assert ask(SERIES, *SORTING, unsaid)[0]["expected"].startswith("about 8,000 kg")


@pytest.mark.parametrize(
    "fields",
    [
        {"form": "drum"}, {"sheet": "B"}, {"connection": "eye"}, {"grade": "80"},
        {"supplier": "Harrow"}, {"legs": "2"}, {"angle_to_deg": "45"}, {"hitch": "choke"},
        {"kind": "chain"}, {"pair": "yes"}, {"size_mm_to": "22"}, {"outcome": "agree"},
    ],
)  # fmt: skip
def test_a_part_of_another_make_is_of_another_series(fields: dict[str, str], ask: Any) -> None:
    rows = [row | {"outcome": "not compared"} for row in (*SORTING, _fifth(80000))]
    assert _rows(ask(SERIES, *rows)) == [6]
    rows[-1] |= fields
    assert ask(SERIES, *rows) == []


def test_a_series_needs_five_sizes_of_which_most_fit(ask: Any) -> None:
    assert ask(SERIES, *SORTING[:3], _fifth(80000)) == []
    assert ask(SERIES, *SORTING[:3], SORTING[0], _fifth(80000)) == []  # the same size again
    # seven of ten rows are enough; of seven rows that fit and four that do not, none is wrong
    off = [_fifth(80000, size_mm=str(size)) for size in (20, 22, 24, 26)]
    seven = [*SORTING, *({**row, "times": "1", "item": "b"} for row in SORTING[:3])]
    assert _rows(ask(SERIES, *seven, *off[:3])) == [9, 10, 11]
    assert ask(SERIES, *seven, *off) == []


def test_a_row_that_stands_often_in_the_list_counts_often(ask: Any) -> None:
    few = [*SORTING[:2], *(_fifth(80000, size_mm=str(size)) for size in (20, 22, 24))]
    assert ask(SERIES, *few) == []
    often = [row | {"times": "9"} for row in few[:2]]
    assert _rows(ask(SERIES, *often, *few[2:])) == [4, 5, 6]


def test_the_smallest_sizes_are_points_of_a_series_too(ask: Any) -> None:
    assert _rows(ask(SERIES, *SORTING, _fifth(50, size_mm="0.5"))) == [6]


def test_a_size_of_nought_is_no_point_of_a_series(ask: Any) -> None:
    assert ask(SERIES, *SORTING, _fifth(8000, size_mm="0"), _fifth(80000, wll="")) == []


# --- the same part number ---


def test_one_part_number_with_two_ratings_lists_its_rows(ask: Any) -> None:
    found = ask(
        PART,
        *({"part": "A-1", "wll": f"{t} t"} for t in range(1, 8)),
        {"part": "A-1"},
        {"part": "B-2", "wll": "1 t"},
        {"wll": "5 t"},
        {"wll": "6 t"},
    )
    assert _rows(found) == [2, 3, 4, 5, 6, 7, 8]
    assert found[0]["expected"] == (
        "one rating (row 2: 1 t; row 3: 2 t; row 4: 3 t; row 5: 4 t; row 6: 5 t; row 7: 6 t)"
    )


@pytest.mark.parametrize(
    ("loads", "wrong"),
    [
        (("1,000 kg", "1,019 kg"), False),
        (("1,000 kg", "1,020 kg"), False),
        (("1,000 kg", "1,021 kg"), True),
    ],
)
def test_two_ratings_of_a_part_may_differ_by_rounding(
    loads: tuple[str, str], wrong: bool, ask: Any
) -> None:
    assert bool(ask(PART, *({"part": "A", "wll": load} for load in loads))) is wrong


def test_a_matrix_gives_one_part_number_several_ratings_in_one_row(ask: Any) -> None:
    cells = [{"row": "2", "part": "A", "wll": load} for load in ("1 t", "2 t")]
    assert ask(PART, *cells) == []
    assert (
        ask(PART, *cells, {"row": "3", "part": "A"}) == []
    )  # nor is a row without a load a second
    # the same row number of two sheets is two rows
    assert len(ask(PART, *({"sheet": s} | cell for s, cell in zip("ab", cells, strict=True)))) == 2


# --- two units, tons ---


@pytest.mark.parametrize(
    ("wll", "wll2", "wrong"),
    [
        # the widest printed pair is 1.8 percent apart, and 2.5 percent (of a logarithm) is room
        ("1,000 kg", "1,025 kg", False),
        ("1,000 kg", "1,026 kg", True),
        ("1,000 kg", "976 kg", False),
        ("1,000 kg", "975 kg", True),
        ("1,000 kg", "", False),
        ("", "1,000 kg", False),
    ],
)
def test_two_units_of_one_rating_convert_into_each_other(
    wll: str, wll2: str, wrong: bool, ask: Any
) -> None:
    assert bool(ask("the-two-units-disagree", {"wll": wll, "wll2": wll2})) is wrong


def test_two_units_are_told_as_the_row_has_them_whichever_was_held(ask: Any) -> None:
    # 7,100 lb agree with the law, 7,100 kg promise more: they are held, as the second
    (found,) = ask("the-two-units-disagree", TEN | {"wll": "7,100 lb", "wll2": "7,100 kg"})
    assert (found["column"], found["observed"]) == ("wll2", "7,100 lb beside 7,100 kg")
    assert found["ratio"] == pytest.approx(2.2046, rel=1e-4)  # of the second over the first
    bare = {"wll": "7,100 lb", "wll2": "7,100 kg", "wll2_column": ""}
    assert ask("the-two-units-disagree", bare)[0]["column"] == "WLL, second unit"


def test_each_column_of_bare_tons_counts_the_rows_that_fit_either_ton(ask: Any) -> None:
    rows = [
        TEN | {"wll": "3.55 tons", "times": "3"},  # 7,100 lb
        TEN | {"wll": "3.15 tons"},  # EN 818-2, t
        TEN | {"wll": "1 tons"},  # nobody's
        TEN | {"wll": "3.55 tons", "wll_column": "other"},
        TEN | {"wll": "3.55 tons", "sheet": "B"},
        TEN | {"wll_unit": "ton"},  # no number
    ]
    found = ask("ton-is-ambiguous", *rows)
    fits = "as short tons of 2,000 lb {} of {} rows agree with a table, as tonnes {}"
    assert [(f["row"], f["note"]) for f in found] == [
        (2, fits.format(3, 5, 1)),
        (3, fits.format(3, 5, 1)),
        (4, fits.format(3, 5, 1)),
        (5, fits.format(1, 1, 0)),
        (6, fits.format(1, 1, 0)),
    ]


# --- hoist hooks ---


def test_a_series_from_memory_is_none(reference: Any) -> None:
    series = pl.DataFrame(
        [
            ("alloy", "recalled", 900.0, None, "memory", "nowhere"),
            ("alloy", "restated", 2000.0, None, "table", "page 1"),
            ("alloy", "restated", 1000.0, None, "other table", "page 2"),
        ],
        schema={
            "material": pl.String,
            "known_by": pl.String,
            "wll_kg": pl.Float64,
            "wll_shank_swivel_kg": pl.Float64,
            "source": pl.String,
            "locator": pl.String,
        },
        orient="row",
    )
    row = {"row": "2", "kind": "hook", "material": "alloy", "connection": "eye", "wll": "900 kg"}
    found = rule_named("hoist-hook-is-not-in-the-series").check(
        example_items([row], reference), series
    )
    assert found.select("expected", "source", "locator").row(0) == (
        "a rating of the series: 1 t, 2 t",
        "table",
        "page 1",
    )


@pytest.mark.parametrize(
    ("row", "wrong"),
    [
        # hoist hook family table (common practice): carbon 0.75 to 40 t, alloy 1 to 60 t
        ({"material": "carbon", "wll": "7.5 t"}, False),
        ({"material": "carbon", "wll": "7.64 t"}, False),  # within 2 percent
        ({"material": "carbon", "wll": "7.67 t"}, True),
        ({"material": "carbon", "wll": "7 t"}, True),
        ({"material": "alloy", "wll": "7 t"}, False),
        ({"material": "alloy", "wll": "4.5 t"}, False),  # with an eye or without: not said
        ({"material": "alloy", "wll": "5 t", "item": "Swivel hook"}, True),
        ({"material": "alloy", "wll": "4.5 t", "item": "Swivel hook"}, False),
        ({"material": "carbon", "wll": "5 t", "item": "Swivel hook"}, False),
        ({"material": "alloy", "wll": "7.2 t", "size_mm": "10"}, False),
        ({"material": "alloy", "wll": "7.2 t", "kind": "chain"}, False),
        ({"material": "alloy", "wll": "7.2 t", "pair": "yes"}, False),
        ({"material": "alloy", "wll": "0 t"}, False),
        ({"material": "alloy", "wll": "0.9 kg"}, True),
        # 4.5 t, 2 percent more or less
        ({"material": "alloy", "wll": "4,412 kg", "item": "Swivel hook"}, False),
        ({"material": "alloy", "wll": "4,411 kg", "item": "Swivel hook"}, True),
        ({"material": "alloy", "wll": "4,591 kg", "item": "Swivel hook"}, False),
        ({"material": "alloy", "wll": "4,592 kg", "item": "Swivel hook"}, True),
        ({"material": "alloy"}, False),
        ({"wll": "7.2 t"}, False),
    ],
)
def test_a_hoist_hook_is_of_its_series(row: dict[str, str], wrong: bool, ask: Any) -> None:
    assert bool(ask("hoist-hook-is-not-in-the-series", {"kind": "hook"} | row)) is wrong
