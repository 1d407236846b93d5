"""Which mistake produced the number: single rows, columns, suppliers, blocks.

Ratings are typed here from the documents: 49 CFR 393.108 (American, lb and kg), EN 818-2
(European grade 8), EN 818-4 table 3 (slings). A grab hook without cradle carries a fifth less
(common practice).
"""

from __future__ import annotations

from typing import Any

import pandas as pd
import polars as pl
import pytest

import tallyhook

# EN 818-2, grade 8: size [mm] -> WLL [t]
EN_818_2 = {
    6: 1.12, 7: 1.5, 8: 2.0, 10: 3.15, 13: 5.3, 16: 8.0, 18: 10.0, 19: 11.2, 20: 12.5, 22: 15.0,
    26: 21.2, 28: 25.0, 32: 31.5,
}  # fmt: skip
# 49 CFR 393.108, grade 80: size [in] -> WLL [lb], [kg]
LAW_80 = {"5/16": (4500, 2000), "3/8": (7100, 3200), "1/2": (12000, 5400), "5/8": (18100, 8200)}
# 49 CFR 393.108, grade 70
LAW_70 = {"5/16": (4700, 2130), "3/8": (6600, 2990), "1/2": (11300, 5130), "5/8": (15800, 7170)}


def only_finding(row: dict[str, Any], unit: str, **kind: Any) -> dict[str, Any]:
    listed = {"Description": kind.pop("words", "Lifting chain")} | {
        k: str(v) for k, v in row.items()
    }
    frame = pl.DataFrame({k: [v] for k, v in listed.items()}).rename({"WLL": f"WLL ({unit})"})
    serious = tallyhook.check(frame).stock_findings.filter(
        pl.col("severity").is_in(["danger", "error"])
    )
    assert serious.height == 1, serious
    return serious.row(0, named=True)


@pytest.mark.parametrize(
    ("size", "grade", "unit", "wll", "cause"),
    [
        ("3/8", "G70", "lb", 26400, "breaking-force-as-wll"),  # 4 x 6,600
        ("3/8", "G43", "lb", 16200, "breaking-force-as-wll"),  # 3 x 5,400
        ("10 mm", "G80", "t", 12.6, "breaking-force-as-wll"),  # 4 x 3.15
        ("13 mm", "G80", "t", 13.25, "proof-force-as-wll"),  # 2.5 x 5.3
        ("3/8", "G80", "kg", 7100, "pounds-as-kilograms"),
        ("1/2", "G80", "lb", 5400, "kilograms-as-pounds"),
        ("1/2", "G80", "lb", 15000, "other-grade"),  # grade 100
        ("13 mm", "G80", "t", 8.0, "neighbouring-size"),  # 16 mm
        ("10 mm", "G80", "t", 31.5, "decimal-point-shifted"),
        ("5/8", "G80", "lb", 11800, "digits-swapped"),
        ("5/8", "G80", "lb", 18700, "digit-mistyped"),
        ("5/8", "G80", "lb", 181100, "digit-lost-or-added"),
        ("10 mm", "G80", "t", 30.9, "force-unit-confused"),  # 3.15 t is 30.9 kN
        ("1/2", "G80", "t", 6.0, "short-tons-as-tonnes"),  # 12,000 lb are 6 short tons
    ],
)
def test_the_mistake_behind_a_single_number(
    size: str, grade: str, unit: str, wll: float, cause: str
) -> None:
    finding = only_finding({"Size": size, "Grade": grade, "WLL": wll}, unit)
    assert finding["cause"] == cause
    assert finding["confidence"] > 0.5


def test_a_multi_leg_rating_on_one_leg() -> None:
    # EN 818-4 table 3: 13 mm grade 8, two legs to 45 degrees, 7.5 t
    finding = only_finding(
        {"Size": "13 mm", "Grade": "G80", "WLL": 7.5}, "t", words="1-leg chain sling with hook"
    )
    assert finding["cause"] == "multi-leg-rating-as-single"
    assert finding["expected"] == "5.3 t"


@pytest.mark.parametrize(
    ("words", "size", "unit", "wll", "expected"),
    [
        # legs x the rating of one leg, EN 818-2; the right figures: EN 818-4 table 3, to 45 degrees
        ("2 leg chain sling", "10 mm", "t", 6.3, "4.25 t"),
        ("2 leg chain sling", "13 mm", "t", 10.6, "7.5 t"),
        ("3 leg chain sling", "13 mm", "t", 15.9, "11.2 t"),
        ("4 leg chain sling", "10 mm", "t", 12.6, "6.7 t"),
        ("4 leg chain sling", "13 mm", "t", 21.2, "11.2 t"),
        # legs x 7,100 or 12,000 lb (49 CFR 393.108); the right figures: legs x sin 60 x one leg, of
        # four legs three (common practice of American sling tables), to the nearest 100 lb
        ("2 leg chain sling", "3/8", "lb", 14200, "12,300 lb"),
        ("3 leg chain sling", "1/2", "lb", 36000, "31,200 lb"),
        ("4 leg chain sling", "3/8", "lb", 28400, "18,400 lb"),
        ("4 leg chain sling", "3/8", "lb", 24600, "18,400 lb"),  # 4 x sin 60 x 7,100 = 24,595
        ("4 leg chain sling", "5/8", "lb", 62700, "47,000 lb"),  # 4 x sin 60 x 18,100 = 62,700
    ],
)
def test_every_leg_counted_in_full(
    words: str, size: str, unit: str, wll: float, expected: str
) -> None:
    finding = only_finding({"Size": size, "Grade": "G80", "WLL": wll}, unit, words=words)
    assert finding["cause"] == "every-leg-counted-in-full"
    assert finding["confidence"] > 0.5
    assert finding["expected"] == expected
    assert "no angle is said" in finding["note"]


def test_an_angle_without_its_line_is_answered_by_the_stricter_reading() -> None:
    # EN 818-4 table 3, 10 mm, two legs: 3.15 t at 60 degrees to the vertical, 4.25 t at 30
    frame = pl.DataFrame(
        {
            "Description": ["2 leg chain sling"],
            "Size": ["10 mm"],
            "Grade": ["G80"],
            "Angle": ["60"],
            "WLL (t)": ["6.3"],
        }
    )
    finding = serious(frame).row(0, named=True)
    assert finding["cause"] == "every-leg-counted-in-full"
    assert finding["expected"] == "3.15 t"
    assert "the line its angle counts from is not said" in finding["note"]


def test_two_mistakes_in_one_number_are_only_a_guess() -> None:
    # EN 818-2: 13 mm is 5.3 t, 16 mm 8 t, which is 17,637 lb (0.45359237 kg)
    finding = only_finding({"Size": "13 mm", "Grade": "G80", "WLL": 17637}, "kg")
    assert " and " in finding["cause"]
    assert finding["confidence"] <= 0.5


@pytest.mark.parametrize(
    ("row", "unit", "cause"),
    [
        # EN 818-2: 20 mm breaks at 503 kN, 10 mm is tested with 78.5 kN; over ten they look like t
        ({"Size": "20 mm", "Grade": "G80", "WLL": 50300}, "kg", "breaking-force-as-wll"),
        ({"Size": "10 mm", "Grade": "G80", "WLL": 7.85}, "t", "proof-force-as-wll"),
        # 49 CFR 393.108: 1/2 in grade 100 is 15,000 lb; 15,000 kg are 33,069 lb
        (
            {"Size": "1/2", "Grade": "G100", "WLL": 33000, "WLL (kg)": 15000},
            "lb",
            "pounds-as-kilograms",
        ),
        # EN 818-2: 3,150 kg; a pound-force column
        ({"Size": "10 mm", "Grade": "G80", "WLL": 3150}, "lbf", "kilograms-as-pounds"),
        # facts, us-disagreements: 7/32 in is rated 970 kg, 6 mm 1,120 kg; do not merge them
        ({"Size": "7/32", "Grade": "G80", "WLL": 1120}, "kg", "neighbouring-size"),
        ({"Size": "6 mm", "Grade": "G80", "WLL": 970}, "kg", "neighbouring-size"),
    ],
)
def test_rarer_mistakes_are_named(row: dict[str, Any], unit: str, cause: str) -> None:
    finding = only_finding(row, unit)
    assert finding["cause"] == cause
    assert finding["confidence"] > 0.5


def test_a_deduction_that_is_not_due_was_not_made_twice() -> None:
    # 2,520 kg is 3,150 kg (EN 818-2) less a fifth; a hook with cradle keeps the full rating
    finding = only_finding(
        {"Size": "10 mm", "Grade": "G80", "WLL": 2520}, "kg", words="Cradle grab hook"
    )
    assert finding["cause"] == "shortening-deducted-without-need"
    assert finding["expected"] == "3,150 kg"
    assert finding["source"] == "en-818-2"


def test_an_unexplained_number_is_held_against_the_scheme_of_the_list() -> None:
    rows = [("Short link chain", f"{s} mm", "8", f"{w:g}") for s, w in EN_818_2.items()]
    rows[3] = ("Short link chain", "10 mm", "8", "5.7718")
    finding = serious(listed(rows, "t")).row(0, named=True)
    assert (finding["cause"], finding["expected"]) == ("unexplained", "3.15 t")
    assert finding["source"] == "en-818-2"
    assert finding["ratio"] == pytest.approx(5.7718 / 3.15)


@pytest.mark.parametrize(
    ("size", "grade", "unit", "wll", "expected"),
    [
        # no scheme is claimed: EN 818-2 has 3.15 t, 49 CFR 393.108 3,200 kg and 7,100 lb
        ("10 mm", "G80", "t", 5.7718, "3.15 t"),
        ("3/8", "G80", "kg", 5771.8, "3,150 kg"),
        # inches and pounds are the American table's
        ("3/8", "G80", "lb", 13713, "7,100 lb"),
        # 49 CFR 393.108 prints 6,600 lb and 2,990 kg, where 6,600 lb are 2,993.7 kg
        ("3/8", "G70", "kg", 5371.8, "2,990 kg"),
        # no table prints pounds: 10,000 kg are 22,046.2 lb (0.45359237 kg), cut and not rounded
        ("18 mm", "G80", "lb", 37013, "22,040 lb (10,000 kg)"),
    ],
)
def test_the_expected_rating_is_never_more_than_a_table_gives(
    size: str, grade: str, unit: str, wll: float, expected: str
) -> None:
    finding = only_finding({"Size": size, "Grade": grade, "WLL": wll}, unit)
    assert (finding["cause"], finding["expected"]) == ("unexplained", expected)


def test_the_source_is_the_table_whose_rating_was_exceeded() -> None:
    # 1910.184(e)(2)(i), 1917.42(h)(7): at least the rating of the chain; no limit from above
    slip = only_finding(
        {"Size": "1/2", "Grade": "G30", "WLL": 9200}, "lb", words="Clevis slip hook"
    )
    assert slip["source"] == "us-chain-practice"
    assert "grade 30" in slip["locator"]
    assert "no table rates the hook itself" in slip["note"]
    # 49 CFR 393.108: grade 43 chain of 3/8 in is 5,400 lb; EN 1677-1 knows no grade 43
    grab = only_finding(
        {"Size": "3/8", "Grade": "G43", "WLL": 6600}, "lb", words="Clevis grab hook with cradle"
    )
    assert grab["source"] == "us-chain-practice"
    assert "grade 43" in grab["locator"]
    # EN 1677-1: hooks of grade 8 are rated as their chain, whatever their form
    for words in ("Eye sling hook with latch", "Foundry hook"):
        hook = only_finding({"Size": "10 mm", "Grade": "G80", "WLL": 4.0}, "t", words=words)
        assert (hook["source"], hook["locator"][:21]) == ("en-1677-1", "components of a sling")


def test_what_a_table_says_beside_a_rating_is_told_where_nothing_explains_it() -> None:
    # facts, special-hook-ratings: 6 mm printed 1.25 t in one list
    finding = only_finding(
        {"Size": "6 mm", "Grade": "G80", "WLL": 1250}, "kg", words="Eye self-locking hook"
    )
    assert finding["severity"] == "danger"
    assert "prints 1.25 t" in finding["note"]


def test_slings_and_conversions_by_hand_are_explained() -> None:
    # two legs at 60 degrees to the horizontal lift 1.732 times one (ASME B30.9): 3/8 in grade 70
    made_up = only_finding({"Size": "3/8", "Grade": "G70", "WLL": 11430}, "lb")  # 1.732 x 6,600
    assert made_up["cause"] == "multi-leg-rating-as-single"
    # 49 CFR 393.108: 4,700 lb by 2.2 (common practice) are 2,136 kg; two digits changed places
    swapped = only_finding({"Size": "5/16", "Grade": "G70", "WLL": 2316}, "kg")
    assert swapped["cause"] == "digits-swapped"


def test_two_causes_that_leave_the_same_number_are_both_shown() -> None:
    # a pair of hooks and the American proof load are both twice the rating
    finding = only_finding(
        {"Size": "3/8", "Grade": "G80", "WLL": 14200}, "lb", words="Eye sling hook with latch"
    )
    named = {finding["cause"], *finding["other_causes"]}
    assert {"proof-force-as-wll", "pair-rating-as-single"} <= named


def test_a_number_without_a_reason_is_called_unexplained() -> None:
    finding = only_finding({"Size": "10 mm", "Grade": "G80", "WLL": 5.7718}, "t")
    assert finding["cause"] == "unexplained"


def test_the_other_units_column_speaks() -> None:
    # 5,400 kg stands in both columns: the pound column holds kilograms
    frame = pl.DataFrame(
        {
            "Description": ["Alloy chain"],
            "Size": ["1/2"],
            "Grade": ["G80"],
            "WLL (lb)": ["5400"],
            "WLL (kg)": ["5400"],
        }
    )
    findings = tallyhook.check(frame).stock_findings
    assert findings.filter(pl.col("rule") == "rated-below-every-source")["cause"].to_list() == [
        "kilograms-as-pounds"
    ]
    assert "the-two-units-disagree" in findings["rule"].to_list()


def listed(
    rows: list[tuple[str, str, str, str]], unit: str, supplier: list[str] | None = None
) -> pl.DataFrame:
    columns = ["Description", "Size", "Grade", f"WLL ({unit})"]
    frame = pl.DataFrame(dict(zip(columns, map(list, zip(*rows, strict=True)), strict=True)))
    return frame if supplier is None else frame.with_columns(pl.Series("Supplier", supplier))


def serious(frame: pl.DataFrame) -> pl.DataFrame:
    return tallyhook.check(frame).stock_findings.filter(
        pl.col("severity").is_in(["danger", "error"])
    )


def test_a_column_in_the_wrong_unit_is_one_finding() -> None:
    rows = [("Alloy chain", s, "G80", str(lb)) for s, (lb, _) in LAW_80.items()]
    rows += [("Transport chain", s, "G70", str(lb)) for s, (lb, _) in LAW_70.items()]
    found = serious(listed(rows, "kg"))
    assert found.height == 1
    finding = found.row(0, named=True)
    assert finding["cause"] == "pounds-as-kilograms"
    assert finding["row"] is None
    assert finding["rows"] == list(range(2, 10))


def test_a_supplier_without_the_deduction_is_one_finding() -> None:
    reduced = {
        "5/16": 3600,
        "3/8": 5680,
        "1/2": 9600,
        "5/8": 14480,
    }  # four fifths of the law's figures
    bare = "Clevis grab hook without cradle"
    rows = [(bare, s, "G80", str(w)) for s, w in reduced.items()] * 2
    rows += [(bare, s, "G80", str(lb)) for s, (lb, _) in LAW_80.items()] * 2
    found = serious(listed(rows, "lb", ["Fenwick Forge"] * 8 + ["Orrin Tool"] * 8))
    assert found["rule"].to_list() == ["grab-hook-without-cradle-is-not-reduced"]
    assert found["rows"].to_list() == [list(range(10, 18))]
    assert "Orrin Tool" in found["item"][0]


def test_a_shifted_block_is_one_finding() -> None:
    sizes = list(EN_818_2)
    ratings = [EN_818_2[s] for s in sizes]
    shifted = [
        *ratings[:3],
        *ratings[4:10],
        *ratings[9:],
    ]  # rows 5 to 10 carry the next row's rating
    rows = [
        ("Short link chain", f"{s} mm", "8", f"{w:g}") for s, w in zip(sizes, shifted, strict=True)
    ]
    found = serious(listed(rows, "t"))
    assert found["cause"].to_list() == ["neighbouring-size"]
    assert found["rows"].to_list() == [list(range(5, 11))]


def test_a_block_shifted_across_grades_is_one_finding() -> None:
    # every row from the second on carries the rating of the row above, whatever its grade
    law = [(s, "G70", lb) for s, (lb, _) in LAW_70.items()]
    law += [(s, "G80", lb) for s, (lb, _) in LAW_80.items()]
    above = [law[0][2], *(lb for _, _, lb in law[:-1])]
    rows = [
        ("Chain", size, grade, str(lb)) for (size, grade, _), lb in zip(law, above, strict=True)
    ]
    found = serious(listed(rows, "lb"))
    assert found["rows"].to_list() == [list(range(3, 10))]
    assert found["cause"].to_list() == ["neighbouring-size"]
    assert "the rating of the row above it" in found["note"][0]
    assert found["severity"].to_list() == ["danger"]  # 15,800 lb on a chain of 4,500 lb


def test_a_suppliers_mistake_is_one_finding_whatever_the_parts() -> None:
    right = [("Alloy chain", s, "G80", str(lb)) for s, (lb, _) in LAW_80.items()]
    chain = [("Alloy chain", s, "G80", str(4 * lb)) for s, (lb, _) in LAW_80.items()]
    hooks = [("Clevis sling hook", s, "G80", str(4 * lb)) for s, (lb, _) in LAW_80.items()]
    frame = listed(right + chain + hooks, "lb", ["Fenwick Forge"] * 4 + ["Orrin Tool"] * 8)
    kilograms = [str(kg) for _, (_, kg) in LAW_80.items()] * 3
    found = serious(frame.with_columns(pl.Series("WLL (kg)", kilograms)))
    assert sorted(found["rule"]) == ["rated-above-every-source", "the-two-units-disagree"]
    assert found["rows"].to_list() == [list(range(6, 14))] * 2
    assert found["cause"].drop_nulls().to_list() == ["breaking-force-as-wll"]


def test_single_slips_in_a_clean_list_stay_single() -> None:
    rows = [("Short link chain", f"{s} mm", "8", f"{w:g}") for s, w in EN_818_2.items()]
    rows[3] = ("Short link chain", "10 mm", "8", "12.6")
    rows[8] = ("Short link chain", "20 mm", "8", "1.25")
    found = serious(listed(rows, "t")).sort("row")
    assert found["row"].to_list() == [5, 10]
    assert found["cause"].to_list() == ["breaking-force-as-wll", "decimal-point-shifted"]


def test_a_higher_rating_is_never_named_without_the_certificate() -> None:
    finding = only_finding({"Size": "1/2", "Grade": "G80", "WLL": 5400}, "lb")
    assert finding["ratio"] < 1
    assert "only the maker's certificate can confirm a higher rating" in finding["note"]


def test_a_column_of_bare_tons_is_one_warning_that_says_which_ton_fits() -> None:
    # 49 CFR 393.108: 7,100 and 12,000 lb are 3.55 and 6 short tons; 3,200 kg is no 3.55 t
    rows = [
        ("Alloy chain", "3/8", "G80", "3.55"),
        ("Alloy chain", "1/2", "G80", "6"),
        ("Alloy chain", "5/8", "G80", "9.05"),
    ]
    report = tallyhook.check(listed(rows, "tons"))
    finding = report.stock_findings.row(0, named=True)
    assert report.stock_findings.height == 1
    assert (finding["rule"], finding["severity"], finding["rows"]) == (
        "ton-is-ambiguous",
        "warning",
        [2, 3, 4],
    )
    assert "as short tons of 2,000 lb 3 of 3 rows agree" in finding["note"]
    assert report.counts["not_compared"] == 3


def test_a_number_that_fits_only_memory_is_not_compared() -> None:
    # facts, us-chain-ratings: 1-1/4 in grade 100, 90,400 lb, recalled
    report = tallyhook.check(listed([("Alloy chain", "1-1/4", "G100", "90400")], "lb"))
    assert report.counts["not_compared"] == 1
    assert report.stock_findings.is_empty()


def test_no_row_agrees_that_carries_a_danger() -> None:
    # ASTM A413 scope: grade 70 is not for overhead lifting; 6,600 lb is right (49 CFR 393.108)
    report = tallyhook.check(
        listed([("Transport chain for overhead lifting", "3/8", "G70", "6600")], "lb")
    )
    assert report.stock_findings["severity"].to_list() == ["danger"]
    assert report.counts["agree"] == 0 and report.counts["contradicted"] == 1
    assert report.items.outcome.to_list() == ["contradicted"]


def test_a_load_in_bare_tons_above_every_source_is_a_danger_with_both_readings() -> None:
    # 49 CFR 393.108: 3/8 in grade 80 7,100 lb, so 3.55 tons of 2,000 lb; 1/2 in 12,000 lb
    rows = [["3/8 grade 80 chain", "3.55"], ["1/2 grade 80 chain", "7.5"]]
    report = tallyhook.check(pd.DataFrame(rows, columns=["Item", "WLL (tons)"]))
    danger = report.findings[report.findings["severity"] == "danger"]
    assert list(zip(danger["rule"], danger["row"], strict=True)) == [
        ("rated-above-every-source", 3)
    ]
    note = danger["note"].iloc[0]
    assert "6,804 kg" in note and "7,500 kg" in note and "both readings" in note
    assert report.not_compared["row"].tolist() == [2]
