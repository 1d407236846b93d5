"""The findings as they leave the step: filled, put together, the worst first.

10 mm grade 80: 3,150 kg (EN 818-2), 7,100 lb and 3,200 kg (49 CFR 393.108); 13 mm 5,300 kg, 16 mm
8,000 kg, 20 mm 12,500 kg, 22 mm 15,000 kg (EN 818-2). A pound is 0.45359237 kg.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import polars as pl
import pytest

from stock_items import example_items
from tallyhook.explaining.explain import explain
from tallyhook.model.distinct import distinct_items
from tallyhook.model.finding import CERTIFICATE, STOCK_FINDING_SCHEMA
from tallyhook.packages.package import Package
from tallyhook.rules.contradictions import contradicting_rows
from tallyhook.rules.judge import judge

TEN = {"kind": "chain", "grade": "80", "size_mm": "10"}
EUROPEAN = [
    {"kind": "chain", "grade": "80", "size_mm": size, "wll": wll}
    for size, wll in (("10", "3,150 kg"), ("13", "5,300 kg"), ("16", "8,000 kg"), ("20", "12,500 kg"), ("22", "15,000 kg"))
]  # fmt: skip


@pytest.fixture
def explained(reference: pl.DataFrame, packages: Mapping[str, Package]) -> Any:
    def of(*rows: Mapping[str, str]) -> list[dict[str, Any]]:
        numbered = [{"row": str(n)} | dict(row) for n, row in enumerate(rows, start=2)]
        listed = distinct_items(example_items(numbered, reference).drop("times"))
        judged = judge(
            listed.distinct,
            lambda column: contradicting_rows(listed.rows, column),
            reference,
            packages,
            file="shop.csv",
        )
        assert judged.crashed == {}
        found = explain(judged.findings, listed, reference, packages)
        assert dict(found.schema) == STOCK_FINDING_SCHEMA
        return found.to_dicts()

    return of


def _fields(found: list[dict[str, Any]], *names: str) -> list[tuple[Any, ...]]:
    return [tuple(finding[name] for name in names) for finding in found]


def test_a_contradicted_load_is_told_whole(explained: Any) -> None:
    (found,) = explained(TEN | {"scheme": "european", "wll": "12,600 kg"})
    assert found == {
        "rule": "rated-above-every-source", "severity": "danger", "file": "shop.csv", "sheet": None,
        "row": 2, "rows": None, "column": "wll", "item": "10 mm, grade 80", "observed": "12,600 kg",
        "expected": "3,150 kg", "ratio": pytest.approx(4), "cause": "breaking-force-as-wll",
        "confidence": found["confidence"], "other_causes": found["other_causes"],
        "source": "en-818-2", "locator": "table of dimensions and ratings",
        "note": "the number is the breaking force", "part": None, "decision": None,
        "observed_kg": 12_600, "expected_kg": 3150, "rating_id": found["rating_id"],
    }  # fmt: skip
    assert 0.5 < found["confidence"] <= 0.99
    assert found["confidence"] == round(found["confidence"], 3)


def test_a_finding_that_is_no_rating_s_keeps_what_its_rule_said(explained: Any) -> None:
    chain = {"kind": "chain", "grade": "70", "size_mm": "10", "wll": "6,600 lb", "overhead": "yes"}
    (found,) = explained(chain)
    assert (found["rule"], found["row"], found["cause"]) == (
        "grade-is-not-for-overhead-lifting", 2, None,
    )  # fmt: skip
    assert (found["source"], found["confidence"]) == ("astm-a413", None)


def test_the_worst_comes_first_then_the_sheet_then_the_row(explained: Any) -> None:
    above, below = TEN | {"wll": "12,600 kg"}, TEN | {"wll": "1,000 kg"}
    found = explained(
        below | {"sheet": "B"},
        above | {"sheet": "B"},
        above | {"sheet": "A"},
        below | {"sheet": "A"},
        above | {"sheet": "A", "size_mm": "8"},
    )
    assert _fields(found, "severity", "sheet", "row") == [
        ("danger", "A", 4),
        ("danger", "A", 6),
        ("danger", "B", 3),
        ("error", "A", 5),
        ("error", "B", 2),
    ]


def test_a_block_stands_where_its_first_row_does(explained: Any) -> None:
    # rows 3 to 7 and 9 are in pounds (EN 818-2 over 0.45359237); row 2 and 8 are ten times too much
    rows = [
        TEN | {"wll": "31,500 kg", "scheme": "european", "wll_column": "A"},
        *[
            {"kind": "hook", "grade": "80", "size_mm": size, "wll": f"{lb:,} kg", "scheme": "european", "wll_column": "A"}
            for size, lb in (("10", 6945), ("13", 11685), ("16", 17637), ("20", 27558), ("22", 33069))
        ],
        TEN | {"wll": "31,500 kg", "scheme": "european", "wll_column": "A"},
        {"kind": "hook", "grade": "80", "size_mm": "8", "wll": "4,409 kg", "scheme": "european", "wll_column": "A"},
    ]  # fmt: skip
    found = explained(*rows)
    assert _fields(found, "row", "rows", "cause") == [
        (2, None, "decimal-point-shifted"),
        (None, [3, 4, 5, 6, 7, 9], "pounds-as-kilograms"),
        (8, None, "decimal-point-shifted"),
    ]


@pytest.mark.parametrize(
    ("wll", "rule", "note"),
    [
        ("12,600 kg", "above-every-source", "the number is the breaking force"),
        # below: only the maker can say that more is right
        ("2,000 kg", "below-every-source", f"the rating of 8 mm; {CERTIFICATE}"),
        # nothing explains it
        ("5,771.8 kg", "above-every-source", None),
        ("1,771.8 kg", "below-every-source", CERTIFICATE),
        # between two sources and above the European one: no more than the number is confirmed
        ("3,177.7 kg", "between-the-sources", None),
    ],
)
def test_the_note_is_the_reason_and_then_what_only_the_maker_can_say(
    wll: str, rule: str, note: str | None, explained: Any
) -> None:
    scheme = "" if rule.startswith("between") else "european"
    (found,) = explained(TEN | {"wll": wll, "scheme": scheme})
    assert (found["rule"], found["note"]) == (f"rated-{rule}", note)


def test_the_note_of_the_rule_follows_the_reason(explained: Any) -> None:
    (found,) = explained(TEN | {"wll": "14.2 tons"})
    both = "'14.2 tons' may be short tons (12,882 kg) or metric tons (14,200 kg), above every source in both readings"
    assert found["note"] == f"the number is the breaking force; {both}"


def test_every_rule_about_a_load_is_explained(explained: Any) -> None:
    hook = {"kind": "grab-hook", "cradle": "no", "grade": "80", "size_mm": "10"}
    found = explained(
        TEN | {"wll": "12,600 kg"},
        TEN | {"wll": "2,000 kg"},
        TEN | {"wll": "3,181.2 kg"},
        hook | {"wll": "3,150 kg"},
    )
    rated = {f["rule"]: f["cause"] for f in found}
    assert rated == {
        "rated-above-every-source": "breaking-force-as-wll",
        "rated-below-every-source": "neighbouring-size",
        "rated-between-the-sources": "unexplained",
        "grab-hook-without-cradle-is-not-reduced": "shortening-not-deducted",
    }


def test_rules_about_a_column_speak_once_of_it(explained: Any) -> None:
    rows = [
        TEN | {"wll": "3.55 tons"},
        {"kind": "chain", "grade": "80", "size_mm": "13", "wll": "6 tons"},
    ]
    (found,) = explained(*rows)
    assert (found["rule"], found["row"], found["rows"]) == ("ton-is-ambiguous", None, [2, 3])
    # beside a load that is wrong, too
    found = explained(*rows, TEN | {"wll": "12,600 kg", "wll_column": "other"})
    assert _fields(found, "rule", "rows") == [
        ("rated-above-every-source", None),
        ("ton-is-ambiguous", [2, 3]),
    ]


def test_the_scheme_that_the_rows_of_a_column_follow_is_expected(explained: Any) -> None:
    wrong = {"kind": "chain", "grade": "80", "size_mm": "8", "wll": "7,771.8 lb"}
    (found,) = explained(*EUROPEAN, wrong)
    assert (found["source"], found["expected"]) == ("en-818-2", "4,409 lb (2,000 kg)")
    # sizes in inches follow a scheme of their own
    (found,) = explained(*EUROPEAN, wrong | {"size_in": "5/16"})
    assert (found["source"], found["expected"]) == ("osha-sling-guidance", "4,500 lb")


def test_metric_rows_may_follow_the_american_scheme(explained: Any) -> None:
    # 49 CFR 393.108 and the chain specifications: 3,200, 5,400, 8,200 kg; 28,300 and 47,700 lb
    american = [
        {"kind": "chain", "grade": "80", "size_mm": size, "wll": wll}
        for size, wll in (("10", "3,200 kg"), ("13", "5,400 kg"), ("16", "8,200 kg"), ("20", "28,300 lb"), ("26", "47,700 lb"))
    ]  # fmt: skip
    (found,) = explained(*american, TEN | {"wll": "5,771.8 kg"})
    assert (found["cause"], found["expected"]) == ("unexplained", "3,200 kg")
    (alone,) = explained(*american[1:], TEN | {"wll": "5,771.8 kg"})
    assert alone["expected"] == "3,150 kg"


def test_rows_of_a_supplier_and_of_a_kind_have_habits_of_their_own(explained: Any) -> None:
    # 6,300 kg on 10 mm: a basket hitch, or two thirds more than anybody gives; a supplier that
    # lists hooks by the pair makes a pair of the next number that is twice the rating
    pair = {"kind": "hook", "grade": "80", "scheme": "european", "supplier": "Harrow"}
    others = [
        pair | {"size_mm": size, "wll": f"{2 * kg:,} kg", "item": f"hook {size}"}
        for size, kg in (("8", 2000), ("13", 5300), ("16", 8000))
    ]
    asked = pair | {"size_mm": "10", "wll": "6,300 kg"}
    confidence = {}
    for supplier in ("Harrow", "Fenwick"):
        rows = [row | {"supplier": "Harrow"} for row in others]
        rows += [{"kind": "hook", "grade": "80", "scheme": "european", "supplier": "Fenwick", "size_mm": size, "wll": f"{kg * 0.9:,.0f} kg"}
                 for size, kg in (("20", 12500), ("22", 15000), ("18", 10000))]  # fmt: skip
        (found,) = (f for f in explained(*rows, asked | {"supplier": supplier}) if f["row"] == 8)
        confidence[supplier] = (
            found["confidence"] if found["cause"] == "pair-rating-as-single" else 0.0
        )
    assert confidence["Harrow"] > confidence["Fenwick"]


def test_what_other_rules_say_again_of_a_block_is_said_once(explained: Any) -> None:
    # the kilograms of EN 818-2 in a pound column beside them, twice
    rows = [
        {"kind": "chain", "grade": "80", "scheme": "european", "size_mm": size, "wll": f"{kg} lb", "wll2": f"{kg} kg"}
        for size, kg in (("10", 3150), ("13", 5300), ("16", 8000), ("20", 12500), ("22", 15000))
    ]  # fmt: skip
    found = explained(*rows)
    assert _fields(found, "rule", "rows") == [
        ("rated-below-every-source", [2, 3, 4, 5, 6]),
        ("the-two-units-disagree", [2, 3, 4, 5, 6]),
    ]
    assert found[0]["cause"] == "kilograms-as-pounds"
    assert CERTIFICATE in found[0]["note"]


def test_a_clean_list_has_no_findings(explained: Any) -> None:
    assert explained(*EUROPEAN) == []
