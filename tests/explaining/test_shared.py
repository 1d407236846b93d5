"""When a mistake that many rows have is one mistake: columns, suppliers, kinds, blocks.

The rows are made up: what matters is where they stand and which cause each was given.
"""

from __future__ import annotations

from typing import Any

import polars as pl
import pytest

from tallyhook.explaining.candidates import Knowledge
from tallyhook.explaining.places import columns_of, compared_rows, placed
from tallyhook.explaining.shared import once_a_column, share_causes, share_repeated
from tallyhook.model.distinct import DistinctItems
from tallyhook.model.finding import CERTIFICATE, STOCK_FINDING_SCHEMA

POUNDS, FORCE, SIZE = "pounds-as-kilograms", "breaking-force-as-wll", "neighbouring-size"
SLIP, NONE = "digit-mistyped", "unexplained"
KEYED = {**STOCK_FINDING_SCHEMA, "key": pl.UInt32}

Row = dict[str, Any]


def wrong(cause: str | None = POUNDS, **fields: Any) -> Row:
    """A contradicted row; `agreeing` and `unread` are the other outcomes."""
    return {"cause": cause, "outcome": "contradicted"} | fields


def agreeing(**fields: Any) -> Row:
    return {"outcome": "agree"} | fields


def unread(**fields: Any) -> Row:
    return {"outcome": "not compared"} | fields


def shop(*rows: Row) -> tuple[pl.DataFrame, DistinctItems]:
    """A list of those rows, from row 2, each an item of its own, and their findings."""
    items, own, found = [], [], []
    for key, row in enumerate(rows):
        number = row.get("row", key + 2)
        own.append((number, None, key))
        items.append(
            {
                "key": key, "times": 1, "sheet": row.get("sheet"), "kind": row.get("kind", "chain"),
                "wll_column": row.get("column", "WLL"), "wll2_column": row.get("second"),
                "supplier": row.get("supplier"), "cradle": row.get("cradle"),
                "grade": row.get("grade", 80), "outcome": row["outcome"],
                "by_second": row.get("by_second", False), "wll_kg": row.get("kg", 1.0),
                "low_kg": row.get("low", 1000.0 * (key + 1)),
                "high_kg": row.get("high", 1000.0 * (key + 1)),
            }
        )  # fmt: skip
        if row["outcome"] == "contradicted":
            found.append(
                dict.fromkeys(KEYED)
                | {
                    "row": number, "key": key, "sheet": row.get("sheet"), "column": row.get("column", "WLL"),
                    "rule": row.get("rule", "rated-above-every-source"), "cause": row["cause"],
                    "severity": row.get("severity", "danger"), "item": f"item {number}",
                    "observed": f"seen {number}", "expected": f"wanted {number}",
                    "ratio": row.get("ratio", 2.0), "confidence": row.get("sure", 0.9),
                    "other_causes": row.get("others", []), "source": f"source {number}",
                    "locator": f"page {number}", "note": row.get("note", "a note"),
                }
            )  # fmt: skip
    distinct = pl.DataFrame(
        items,
        schema={
            "key": pl.UInt32, "times": pl.UInt32, "sheet": pl.String, "kind": pl.String,
            "wll_column": pl.String, "wll2_column": pl.String, "supplier": pl.String,
            "cradle": pl.String, "grade": pl.Int64, "outcome": pl.String, "by_second": pl.Boolean,
            "wll_kg": pl.Float64, "low_kg": pl.Float64, "high_kg": pl.Float64,
        },
        orient="row",
    )  # fmt: skip
    places = pl.DataFrame(
        own, schema={"row": pl.UInt32, "part": pl.String, "key": pl.UInt32}, orient="row"
    )
    findings = pl.DataFrame(found, schema=KEYED, orient="row")
    return findings, DistinctItems(distinct=distinct, rows=places)


@pytest.fixture
def share(known: Knowledge) -> Any:
    def shared(*rows: Row, places: pl.DataFrame | None = None) -> list[dict[str, Any]]:
        findings, listed = shop(*rows)
        return share_causes(findings, listed, known.causes, places).to_dicts()

    return shared


def blocks(found: list[dict[str, Any]]) -> list[tuple[str, list[int]]]:
    """The findings about several rows: what they are called, and their rows."""
    return [(f["item"], f["rows"]) for f in found if f["rows"] is not None]


def singles(found: list[dict[str, Any]]) -> list[int]:
    return [f["row"] for f in found if f["rows"] is None]


# --- groups ---


def test_five_rows_and_four_fifths_of_a_column_are_one_mistake(share: Any) -> None:
    five = [wrong()] * 5
    assert blocks(share(*five)) == [("the column WLL, 5 rows", [2, 3, 4, 5, 6])]
    assert singles(share(*five)) == []
    # the rows stand apart, so that they are no block either
    apart = [row for w in five[:4] for row in (w, unread())]
    assert blocks(share(*apart)) == [] and len(singles(share(*apart))) == 4
    eight_of_ten = [agreeing(), *[wrong()] * 4, agreeing(), *[wrong()] * 4]
    assert [rows for _, rows in blocks(share(*eight_of_ten))] == [[3, 4, 5, 6, 8, 9, 10, 11]]
    eight_of_eleven = [agreeing(), *eight_of_ten]
    assert blocks(share(*eight_of_eleven)) == []


def test_the_finding_of_a_column_is_told_whole(share: Any) -> None:
    rows = [
        wrong(ratio=2.0, sure=0.5, severity="error"),
        wrong(ratio=3.0, sure=0.8, severity="danger"),
        *[wrong(ratio=5.0, sure=0.7, severity="error")] * 3,
    ]
    (one,) = share(*rows)
    assert one["rows"] == [2, 3, 4, 5, 6] and one["row"] is None
    assert (one["item"], one["column"]) == ("the column WLL, 5 rows", "WLL")
    # the worst of them speaks for all
    assert one["severity"] == "danger"
    assert one["observed"] == "5 rows, as row 3: seen 3"
    assert one["expected"] == "5 rows, as row 3: wanted 3"
    assert (one["source"], one["locator"], one["note"]) == ("source 3", "page 3", "a note")
    assert (one["ratio"], one["confidence"], one["cause"]) == (5.0, 0.8, POUNDS)


def test_a_note_that_not_all_rows_have_is_that_of_one_row(share: Any) -> None:
    (one,) = share(*[wrong()] * 4, wrong(note="another"))
    assert one["note"] == "in row 2 a note"
    (one,) = share(wrong(note=None), *[wrong()] * 4)
    assert one["note"] is None


def test_other_sheets_and_columns_are_other_groups(share: Any) -> None:
    found = share(*[wrong(sheet="A")] * 5, *[wrong(sheet="B")] * 4, *[agreeing(sheet="B")] * 4)
    assert blocks(found) == [("the column WLL, 5 rows", [2, 3, 4, 5, 6])]
    found = share(*[wrong(column="X")] * 5, *[wrong(column="Y")] * 3, *[agreeing(column="Y")] * 3)
    assert blocks(found) == [("the column X, 5 rows", [2, 3, 4, 5, 6])]


def _scattered(*rows: Row) -> list[Row]:
    """Rows with another one between each two, so that none are neighbours."""
    return [each for row in rows for each in (row, agreeing(kind="hook", supplier="Other"))]


@pytest.mark.parametrize(
    ("of_the_group", "beside", "words"),
    [
        ({"supplier": "Harrow"}, {"supplier": "Fenwick"}, "every row of Harrow in the column WLL, 5 rows"),
        ({"kind": "sling"}, {"kind": "chain"}, "every sling in the column WLL, 5 rows"),
        ({"supplier": "Harrow", "kind": "sling"}, {"supplier": "Harrow", "kind": "chain"},
         "every sling in the column WLL, 5 rows"),
        ({"grade": 43}, {"grade": 80}, "grade 43 in the column WLL, 5 rows"),
    ],
)  # fmt: skip
def test_the_widest_group_that_shares_a_mistake_is_named(
    of_the_group: Row, beside: Row, words: str, share: Any
) -> None:
    found = share(*_scattered(*[wrong(**of_the_group)] * 5), *[agreeing(**beside)] * 5)
    assert blocks(found) == [(words, [2, 4, 6, 8, 10])]
    assert singles(found) == []


def test_the_kind_of_a_supplier_is_named_with_both(share: Any) -> None:
    own = {"supplier": "Harrow", "kind": "sling"}
    others = [agreeing(supplier="Harrow", kind="chain"), agreeing(supplier="Fenwick", kind="sling")]
    found = share(*_scattered(*[wrong(**own)] * 5), *others * 5)
    assert blocks(found) == [("every sling of Harrow in the column WLL, 5 rows", [2, 4, 6, 8, 10])]


def test_the_grab_hooks_without_cradle_of_a_supplier_are_a_group(share: Any) -> None:
    own = {"supplier": "Harrow", "kind": "grab-hook"}
    rows = [*_scattered(*[wrong(**own, cradle="no")] * 5), *[agreeing(**own, cradle="yes")] * 9]
    found = share(*rows)
    assert blocks(found) == [
        ("every grab-hook of Harrow in the column WLL, 5 rows", [2, 4, 6, 8, 10])
    ]


def test_rows_without_a_supplier_are_no_supplier(share: Any) -> None:
    rows = _scattered(*[wrong(kind=kind) for kind in ("chain", "sling", "link", "hook", "other")])
    assert blocks(share(*rows, *[agreeing(supplier="Harrow", kind="chain")] * 9)) == []


def test_a_slip_of_the_hand_happens_once_whatever_its_number(share: Any) -> None:
    for cause in (SLIP, NONE, "digits-swapped", "digit-lost-or-added", "rounded", None):
        assert blocks(share(*[wrong(cause)] * 6)) == []
    assert len(blocks(share(*[wrong("decimal-point-shifted")] * 6))) == 1


def test_rows_that_may_have_the_mistake_join_it(share: Any) -> None:
    rows = [*[wrong()] * 8, wrong(FORCE, others=[POUNDS]), wrong(FORCE, others=[SIZE])]
    found = share(*rows)
    assert blocks(found) == [("the column WLL, 9 rows", [*range(2, 10), 10])]
    assert singles(found) == [11]
    # though not from another sheet
    other = [wrong(FORCE, others=[POUNDS], sheet="B"), *[agreeing(sheet="B")] * 2]
    assert blocks(share(*[wrong(sheet="A")] * 8, *other))[0][1] == list(range(2, 10))


def test_a_row_belongs_to_one_finding(share: Any) -> None:
    rows = [*[wrong(POUNDS, supplier="A")] * 8, wrong(FORCE, others=[POUNDS], supplier="A")]
    rows += [wrong(FORCE, others=[POUNDS], supplier="B")] * 2
    found = share(*rows)
    seen = [row for _, many in blocks(found) for row in many] + singles(found)
    assert sorted(seen) == list(range(2, 13))


def test_a_row_with_two_ratings_is_of_either_column(share: Any) -> None:
    # nine rows state kilograms beside pounds, and in six the kilograms are wrong
    right = agreeing(column="lb", second="kg")
    bad = wrong(column="kg", second="lb", by_second=True)
    assert blocks(share(bad, right, bad, right, bad, right, bad, bad, bad)) == []
    alone = agreeing(column="lb")
    assert len(blocks(share(bad, alone, bad, alone, bad, alone, bad, bad, bad))) == 1


# --- blocks of neighbours ---


def test_five_neighbours_with_one_cause_are_a_block(share: Any) -> None:
    rows = [*[agreeing()] * 5, *[wrong()] * 5, *[agreeing()] * 5]
    assert blocks(share(*rows)) == [("a block of neighbouring rows, 5 rows", [7, 8, 9, 10, 11])]
    assert blocks(share(*[agreeing()] * 5, *[wrong()] * 4, *[agreeing()] * 5)) == []


@pytest.mark.parametrize("between", [agreeing(), wrong(FORCE), wrong(SLIP)])
def test_a_row_with_another_answer_ends_a_block(between: Row, share: Any) -> None:
    rows = [*[agreeing()] * 5, *[wrong()] * 3, between, *[wrong()] * 3, *[agreeing()] * 5]
    assert blocks(share(*rows)) == []


def test_a_row_that_is_not_compared_does_not_end_a_block(share: Any) -> None:
    rows = [*[agreeing()] * 5, *[wrong()] * 3, unread(), *[wrong()] * 2, *[agreeing()] * 5]
    assert [rows for _, rows in blocks(share(*rows))] == [[7, 8, 9, 11, 12]]


def test_a_block_is_of_one_column(share: Any) -> None:
    rows = [*[agreeing(column="A")] * 5, *[wrong(column="A")] * 3]
    rows += [*[wrong(column="B")] * 3, *[agreeing(column="B")] * 5]
    assert blocks(share(*rows)) == []


def test_two_blocks_are_two_findings(share: Any) -> None:
    rows = [*[agreeing()] * 9, *[wrong()] * 5, agreeing(), *[wrong(FORCE)] * 6, *[agreeing()] * 9]
    assert [rows for _, rows in blocks(share(*rows))] == [
        list(range(11, 16)),
        list(range(17, 23)),
    ]


# --- blocks whose rows carry the rating of the row beside them ---


def _shifted(count: int, by: int, *, last: str = SIZE, **fields: Any) -> list[Row]:
    """Rows rated 1,000, 2,000 ... kg that carry the rating of the row so many below."""
    return [
        wrong(NONE if n != count - 1 else last, low=1000.0 * n, high=1000.0 * n, kg=1000.0 * (n + by), **fields)
        for n in range(1, count + 1)
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("by", "words"),
    [
        (1, "each row carries the rating of the row below it"),
        (-1, "each row carries the rating of the row above it"),
    ],
)
def test_rows_that_carry_the_rating_of_the_row_beside_them_are_shifted(
    by: int, words: str, share: Any
) -> None:
    (one,) = share(*_shifted(6, by))
    assert one["rows"] == [2, 3, 4, 5, 6, 7]
    assert one["item"] == "a block of neighbouring rows, 6 rows"
    assert (one["cause"], one["confidence"], one["other_causes"]) == (SIZE, 0.99, [])
    assert one["note"] == words
    higher = _shifted(6, by)
    for row in higher:
        row["note"] = CERTIFICATE
    (one,) = share(*higher)
    assert one["note"] == f"{words}; {CERTIFICATE}"


def test_a_shifted_block_has_five_rows_of_which_all_but_the_last_fit(share: Any) -> None:
    assert len(blocks(share(*_shifted(5, 1), *[agreeing()] * 9))) == 1
    assert blocks(share(*_shifted(4, 1), *[agreeing()] * 9)) == []
    four = _shifted(5, 1)
    four[-1]["cause"] = FORCE
    assert blocks(share(*four, *[agreeing()] * 9)) == []
    # the last row of the run carries that of a row beyond: what else explains it is no part of it
    rows = _shifted(6, 1)
    rows[-1]["cause"] = FORCE
    assert [rows for _, rows in blocks(share(*rows, *[agreeing()] * 9))] == [[2, 3, 4, 5, 6]]
    for cause in (SIZE, NONE, "other-grade"):
        rows[-1]["cause"] = cause
        assert [rows for _, rows in blocks(share(*rows, *[agreeing()] * 9))] == [[2, 3, 4, 5, 6, 7]]


@pytest.mark.parametrize(
    ("off", "shifted"), [(1.005, True), (0.995, True), (1.007, False), (0.993, False)]
)
def test_a_shifted_load_is_the_other_ratings_but_for_a_rounding(
    off: float, shifted: bool, share: Any
) -> None:
    rows = _shifted(7, 1)
    for row in rows:
        row["kg"] *= off
    assert bool(blocks(share(*rows, *[agreeing()] * 20))) is shifted


def test_a_shifted_load_lies_between_the_ratings_of_all_schemes(share: Any) -> None:
    rows = _shifted(6, 1)
    for row in rows:
        row["high"] = row["low"] * 1.02
        row["kg"] *= 1.01
    assert len(blocks(share(*rows, *[agreeing()] * 9))) == 1


def test_a_row_between_ends_a_shifted_block(share: Any) -> None:
    rows = _shifted(8, 1)
    rows.insert(4, agreeing(low=9e6, high=9e6))
    assert blocks(share(*rows, *[agreeing()] * 20)) == []
    apart = _shifted(8, 1)
    for row in apart[4:]:
        row["column"] = "other"
    assert blocks(share(*apart, *[agreeing()] * 20, *[agreeing(column="other")] * 20)) == []


def test_fewer_than_five_findings_are_no_block_of_any_kind(share: Any) -> None:
    findings = _shifted(4, 1)
    assert blocks(share(*findings)) == []
    assert singles(share(*findings)) == [2, 3, 4, 5]


# --- what other rules say again ---


def _said(*rows: tuple[str, int | None, str], sheet: str | None = None) -> pl.DataFrame:
    return pl.DataFrame(
        [
            dict.fromkeys(KEYED)
            | {
                "rule": rule, "row": row, "column": column, "sheet": sheet, "severity": "error",
                "observed": f"seen {row}", "expected": "wanted", "ratio": 2.0, "item": "item",
            }
            for rule, row, column in rows
        ],
        schema=KEYED,
        orient="row",
    )  # fmt: skip


UNITS, BREAKS = "the-two-units-disagree", "breaking-force-and-rating-disagree"


def _block(rows: list[int], sheet: str | None = None) -> pl.DataFrame:
    return _said(("rated-above-every-source", None, "WLL"), sheet=sheet).with_columns(
        pl.Series("rows", [rows], dtype=pl.List(pl.Int64)), item=pl.lit("the column WLL, 5 rows")
    )


@pytest.mark.parametrize("rule", [UNITS, BREAKS, "proof-force-and-rating-disagree"])
def test_what_a_rule_says_again_of_a_block_is_said_once(rule: str) -> None:
    said = _said(*((rule, row, "kg") for row in range(2, 8)), (rule, 20, "kg"))
    found = share_repeated(said, _block(list(range(2, 8)))).to_dicts()
    assert blocks(found) == [("the column WLL, 6 rows", [2, 3, 4, 5, 6, 7])]
    assert singles(found) == [20]
    assert found[0]["observed"] == "6 rows, as row 2: seen 2"


def test_what_is_said_of_fewer_rows_or_elsewhere_stays() -> None:
    rows = list(range(2, 8))
    four = _said(*((UNITS, row, "kg") for row in rows[:4]))
    assert blocks(share_repeated(four, _block(rows)).to_dicts()) == []
    five = _said(*((UNITS, row, "kg") for row in rows[:5]))
    assert len(blocks(share_repeated(five, _block(rows)).to_dicts())) == 1
    assert blocks(share_repeated(five, _block(rows, sheet="B")).to_dicts()) == []
    assert blocks(share_repeated(five, _block([90, 91])).to_dicts()) == []
    other = _said(*(("latch-is-missing", row, "latch") for row in rows))
    assert blocks(share_repeated(other, _block(rows)).to_dicts()) == []
    # by rule and by column
    mixed = _said(*((UNITS, row, "kg" if row % 2 else "lb") for row in range(2, 10)))
    assert blocks(share_repeated(mixed, _block(list(range(2, 10)))).to_dicts()) == []
    two = _said(*((rule, row, "kg") for rule in (UNITS, BREAKS) for row in rows))
    assert len(blocks(share_repeated(two, _block(rows)).to_dicts())) == 2


def test_what_is_said_of_two_blocks_is_said_of_the_first() -> None:
    rows = list(range(2, 8))
    both = pl.concat([_block(rows), _block(rows)])
    said = _said(*((UNITS, row, "kg") for row in rows))
    assert len(blocks(share_repeated(said, both).to_dicts())) == 1


# --- rules about a column ---


def test_a_rule_about_a_column_speaks_once_of_each() -> None:
    said = pl.concat(
        [
            _said(("ton", 2, "A"), ("ton", 3, "A"), ("ton", 4, "B"), ("other", 5, "A"), ("other", 6, "A")),
            _said(("ton", 7, "A"), ("ton", 8, "A"), sheet="two"),
        ]
    )  # fmt: skip
    found = once_a_column(said, ["ton"]).to_dicts()
    assert blocks(found) == [("the column A, 2 rows", [2, 3]), ("the column A, 2 rows", [7, 8])]
    assert singles(found) == [4, 5, 6]
    assert once_a_column(said.head(1), ["ton"]).equals(said.head(1))


# --- places ---


def test_rows_are_counted_column_by_column_among_the_compared() -> None:
    _, listed = shop(
        agreeing(column="A"), unread(column="A"), wrong(column="A"), agreeing(column="B"),
        wrong(column="B"), wrong(column="A"), agreeing(column="A", sheet="two"),
    )  # fmt: skip
    columns = columns_of(listed.distinct)
    assert dict(columns.iter_rows()) == {0: 0, 2: 0, 3: 1, 4: 1, 5: 0, 6: 2}
    keys = pl.Series([2, 4, 5, 6], dtype=pl.UInt32)
    assert list(placed(listed.rows, columns, keys).iter_rows()) == [
        (4, 2, 0, 1),
        (6, 4, 1, 1),
        (7, 5, 0, 2),
        (8, 6, 2, 0),
    ]
    assert compared_rows(listed.rows, columns) == {0: 3, 1: 2, 2: 1}


def test_the_column_of_a_row_is_that_of_its_first_load() -> None:
    _, listed = shop(
        agreeing(column="lb", second="kg"), wrong(column="kg", second="lb", by_second=True)
    )
    assert columns_of(listed.distinct)["_column"].to_list() == [0, 0]


def test_a_row_of_a_matrix_stands_once_in_each_column() -> None:
    _, listed = shop(
        agreeing(column="A", row=2), agreeing(column="B", row=2), agreeing(column="A", row=2),
        unread(column="A", row=2), wrong(column="A", row=3), wrong(column="B", row=3),
    )  # fmt: skip
    columns = columns_of(listed.distinct)
    assert compared_rows(listed.rows, columns) == {0: 2, 1: 2}
    keys = pl.Series([4, 5], dtype=pl.UInt32)
    assert list(placed(listed.rows, columns, keys).iter_rows()) == [(3, 4, 0, 1), (3, 5, 1, 1)]


def test_places_that_are_handed_over_are_used(share: Any) -> None:
    rows = [*[agreeing()] * 5, *[wrong()] * 5, *[agreeing()] * 5]
    elsewhere = pl.DataFrame(
        {"row": [7, 8, 9, 10, 11], "key": [5, 6, 7, 8, 9], "_column": [0] * 5, "_place": [1, 3, 5, 7, 9]},
        schema={"row": pl.Int64, "key": pl.UInt32, "_column": pl.UInt32, "_place": pl.Int64},
    )  # fmt: skip
    assert blocks(share(*rows, places=elsewhere)) == []
