"""Removal limits as a card, against the documents that print them."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from typing import Any

import polars as pl
import pytest

from tallyhook.packages.package import built_in_packages
from tallyhook.use.limits import LimitCard, limits
from tallyhook.use.result import UseRefused
from tallyhook.wording import CAUTION


def _limits(card: LimitCard, measure: str) -> dict[str, float | None]:
    return {r.source: r.limit for r in card.limits if r.measure == measure}


def test_throat_opening_by_document() -> None:
    # 29 CFR 1910.184(e)(9)(ii): 15 percent; NSW dogging guide: 5 percent; Washington's table 12
    # and ASME B30.10 from 2009: 5 percent, at most 1/4 in (6 mm)
    small = _limits(limits("hook", throat_mm=40), "throat")
    assert small["29-cfr-1910-184"] == pytest.approx(46)
    assert small["nsw-dogging-guide"] == pytest.approx(42)
    assert small["wac-296-155-55800"] == small["asme-b30-10"] == pytest.approx(42)
    large = _limits(limits("hook", throat_mm=200), "throat")
    assert large["nsw-dogging-guide"] == pytest.approx(210)
    assert large["wac-296-155-55800"] == large["asme-b30-10"] == pytest.approx(206)  # the cap


@pytest.mark.parametrize(
    ("throat", "law", "guide"),
    [(42, "within", "within"), (42.1, "within", "past"), (46.1, "past", "past")],
)
def test_a_measured_throat(throat: float, law: str, guide: str) -> None:
    verdicts = {
        r.source: r.verdict
        for r in limits("hook", throat_mm=40, measured={"throat": throat}).limits
        if r.measure == "throat"
    }
    assert verdicts["29-cfr-1910-184"] == f"{law} the limit"
    assert verdicts["nsw-dogging-guide"] == f"{guide} the limit"


def test_twist_wear_and_cracks() -> None:
    # 29 CFR 1910.184(e)(9)(ii): more than 10 degrees, any crack; ASME B30.10: 10 percent of wear
    card = limits("hook", section_mm=30, measured={"twist": 10, "section": 26.9, "cracks": "yes"})
    by = {(r.source, r.measure): r.verdict for r in card.limits}
    assert by["29-cfr-1910-184", "twist"] == "within the limit"
    assert by["asme-b30-10", "section"] == "past the limit"
    assert by["29-cfr-1910-184", "cracks"] == "past the limit"
    assert by["asme-b30-10", "latch-faulty"] == "not measured"


def test_a_measured_twist_is_past_the_documents_that_take_any() -> None:
    # ASME B30.10-2005 10-1.2.3(b)(3), Washington's table 12, EM 385-1-1 15.E.07: any visible twist;
    # 29 CFR 1910.184(e)(9)(ii), Alberta 309(b): more than 10 degrees
    card = limits("hook", measured={"twist": "4 deg"})
    by = {(r.source, r.verdict) for r in card.limits if r.measure == "twist"}
    strict = ("asme-b30-10", "wac-296-155-55800", "usace-em-385-1-1")
    assert {(s, "past the limit") for s in strict} <= by
    assert {(s, "within the limit") for s in ("29-cfr-1910-184", "alberta-ohs-code")} <= by
    assert {r.source for r in card.past} == set(strict)
    assert next(r.source for r in card.strictest() if r.measure == "twist") in strict
    assert not limits("hook", measured={"twist": 0}).past


def test_wear_off_a_link_is_held_against_the_least_diameter_too() -> None:
    # EN 818-6, annex A, and DGUV 209-021: no less than 0.9 of the nominal diameter, 9 of 10 mm;
    # 29 CFR 1918, table 4B: 0.052 in of 3/8 in
    by = {
        r.source: r.verdict
        for r in limits("chain", size="10 mm", measured={"wear": "1.2 mm"}).limits
        if r.measure == "wear"
    }
    assert by["en-818-6"] == by["dguv-209-021"] == "past the limit"
    assert by["29-cfr-1918-app-2"] == "within the limit"
    assert not limits("chain", size="10 mm", measured={"wear": "1 mm"}).past


@pytest.mark.parametrize(
    ("told", "asked"),
    [
        ({"measured": {"throat": "38 mm"}}, "--throat"),
        ({"throat_mm": 35, "measured": {"section": 40}}, "--section"),
        ({"throat_mm": 35, "measured": {"area": "12 mm2"}}, "--area"),
        ({"item": "crane-hook", "measured": {"seat": 94}}, "--seat"),
        ({"item": "chain", "measured": {"link": 8}}, "--size"),
        ({"item": "chain", "measured": {"wear": 1}}, "--size"),
        ({"item": "chain", "size": "10 mm", "measured": {"length": 2200}}, "--length"),
        # ASME B30.9, 3/4 in: recalled
        (
            {
                "item": "chain",
                "size": "3/4",
                "documents": ("asme-b30-9",),
                "measured": {"link": 9},
            },
            "from memory",
        ),
    ],
)
def test_a_measurement_that_nothing_is_held_against_is_refused(
    told: dict[str, Any], asked: str
) -> None:
    with pytest.raises(UseRefused, match=asked):
        limits(**told)


def test_a_lost_area_is_held_against_the_area_as_new() -> None:
    # Alberta OHS code, 309(c): 10 percent of the cross-section or more
    lost = [limits("hook", area_mm2=100, measured={"area": a}).past for a in (90.1, "90 mm2")]
    assert [[r.source for r in past] for past in lost] == [[], ["alberta-ohs-code"]]


@pytest.mark.parametrize(
    ("measured", "said"),
    [({"cracks": "maybe"}, "yes or no"), ({"twist": "4 mm"}, "in deg"), ({"area": "x"}, "in mm2")],
)
def test_a_measurement_that_is_none_says_what_it_should_be(
    measured: dict[str, str], said: str
) -> None:
    with pytest.raises(UseRefused, match=said):
        limits("hook", area_mm2=100, measured=measured)


def test_chain_by_size() -> None:
    # 29 CFR 1910.184, table N-184-1, 3/8 in: 19/64 in; ASME B30.9: 0.342 in; EN 818-6: 0.9 x 10 mm
    thin = _limits(limits("chain", size="3/8"), "link")
    assert thin["29-cfr-1910-184"] == pytest.approx(19 / 64 * 25.4)
    assert thin["asme-b30-9"] == pytest.approx(8.69)
    assert thin["en-818-6"] == pytest.approx(9)
    # 29 CFR 1926.251, table H-1, 3/8 in: 5/64 in
    assert _limits(limits("chain", size="3/8"), "wear")["29-cfr-1926-251"] == pytest.approx(
        5 / 64 * 25.4
    )


def test_stretch_at_and_above_five_percent() -> None:
    # 29 CFR 1915.112(c)(3): more than 5 percent; DGUV 209-021: 5 percent is already too much;
    # NSW guide: 10 percent
    rows = limits("chain", size=10, length_mm=300, measured={"length": 315}).limits
    by = {r.source: r.verdict for r in rows if r.measure == "length"}
    assert by["29-cfr-1915"] == "within the limit"
    assert by["dguv-209-021"] == "past the limit"
    assert by["nsw-dogging-guide"] == "within the limit"


def test_a_limit_from_memory_passes_nothing(packages: dict[str, Any]) -> None:
    # ASME B30.9, 3/4 in: 0.687 in is recalled
    rows = [
        r
        for r in limits("chain", size="3/4", measured={"link": 19}).limits
        if r.source == "asme-b30-9"
    ]
    assert [(r.known_by, r.verdict) for r in rows] == [("recalled", "not measured")]
    card = limits("chain", size="3/4")
    assert "UNVERIFIED" in card.to_text() and "UNVERIFIED" in card.to_html()
    assert all(r.known_by != "recalled" for r in card.strictest())


def test_the_strictest_is_marked() -> None:
    card = limits("chain", size="3/8", length_mm=300)
    strictest = {r.measure: r for r in card.strictest()}
    assert strictest["link"].limit == pytest.approx(9)  # 0.9 of nominal is above 8.69 and 7.54
    assert strictest["length"].source == "dguv-209-021"  # at 5 percent, the others above it
    assert strictest["wear"].limit == pytest.approx(1)  # EN 818-6; table 4B, 3/8 in: 0.052 in
    american = limits("chain", size="3/8", documents=("29-cfr-1918-app-2", "29-cfr-1915"))
    assert {r.measure: r.source for r in american.strictest()}["wear"] == "29-cfr-1918-app-2"


def test_crane_hooks_by_din_15405() -> None:
    # DIN 15405-1: gauge length to 1.1, seat height down to 0.95 of nominal
    card = limits("crane-hook", gauge_mm=100, seat_mm=40)
    assert _limits(card, "gauge")["din-15405-1"] == pytest.approx(110)
    assert _limits(card, "seat")["din-15405-1"] == pytest.approx(38)


def test_without_dimensions_the_rules_still_stand_in_words() -> None:
    card = limits("hook")
    assert all(r.limit is None for r in card.limits if r.measure == "throat")
    assert "15 percent more than new" in card.to_text()


@pytest.mark.parametrize(
    "told",
    [
        {"item": "anvil"},
        {"throat_mm": -3},
        {"measured": {"colour": 3}},
        {"throat_mm": 30, "measured": {"throat": "wide"}},
        {"measured": {"cracks": "perhaps"}},
        {"throat_mm": 30, "measured": {"throat": float("nan")}},
        {"documents": ("no-such",)},
        {"item": "chain", "size": "3/9"},
    ],
)
def test_what_makes_no_card_is_refused(told: dict[str, Any]) -> None:
    with pytest.raises(UseRefused):
        limits(**told)


class _Page(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.links: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.links += [str(v) for k, v in attrs if k in ("src", "href")]
        if tag != "meta":
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_the_page_is_well_formed_and_self_contained() -> None:
    page = limits("hook", throat_mm=40, section_mm=25, measured={"throat": 47}).to_html()
    reader = _Page()
    reader.feed(page)
    assert not reader.open and not reader.links
    assert CAUTION.replace("'", "&#x27;") in page
    assert "past the limit" in page
    assert not re.search(r"\bsafe\b", page)
    assert "@page" in page


def test_every_document_that_names_a_table_by_size_has_its_rows_there() -> None:
    """The two packages agree in the case; one that is written otherwise would lose the limit."""
    packages = built_in_packages()
    naming = packages["inspection"]["limits"].filter(pl.col("table") != "")
    # 29 CFR 1910.184, 1915, 1917, 1918 (appendix 2), 1926.251, ASME B30.9, DOE-STD-1090 twice
    assert naming.height == 8
    for row in naming.iter_rows(named=True):
        package, table = row["table"].split(".")
        rows = packages[package][table].filter(source=row["source"], case=row["case"])
        assert rows.height > 5, row["rating_id"]
        assert set(rows["locator"]) == {row["locator"]}


def test_a_document_with_two_tables_gives_each_of_them_once() -> None:
    # DOE-STD-1090-96, tables 11-11 and 15-2: 3/8 in chain, at most 5/64 in of wear in both
    wear = [
        (r.locator, r.limit)
        for r in limits("chain", size="3/8", documents=("doe-std-1090-96",)).limits
        if r.measure == "wear"
    ]
    assert wear == [
        ("Table 11-11 (11.3.3.2)", pytest.approx(5 / 64 * 25.4)),
        ("Table 15-2 (15.4.6)", pytest.approx(5 / 64 * 25.4)),
    ]
