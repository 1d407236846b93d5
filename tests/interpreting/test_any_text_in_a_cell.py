"""Any text in a recognised cell of a row that agrees: it is read by itself, it is a blank, or told.

The row has everything twice, in its columns and in its description. What agrees with a text in one
cell must agree, too, where nothing else of the row could stand in for that cell; and the digits of a
load or a size must be there to be read.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import replace
from functools import cache

import pandas as pd
import polars as pl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tallyhook.interpreting.list_items import items_of_layouts, layouts_of
from tallyhook.matching.match import match
from tallyhook.model.layout import Layout
from tallyhook.model.options import ListOptions
from tallyhook.packages.package import all_packages
from tallyhook.packages.reference import reference_ratings
from tallyhook.vocabulary.blanks import is_blank

# 7,100 lb (3,200 kg), 12,000 lb (5,400 kg): 3/8 and 1/2 in, grade 80 (ASTM A391, as restated)
GOOD = {
    "Item": "Alloy chain 1/2 in grade 80 WLL 12000 lb, MBF 213.5 kN",
    "Size": "1/2",
    "Grade": "80",
    "WLL lb": "12000",
    "WLL kg": "5400",
    "Breaking force (kN)": "213.5",
    "Proof force (kN)": "107",
    "Design factor": "4",
    "Latch": "no",
    "Overhead lifting": "yes",
}
FIELDS = dict(
    zip(
        list(GOOD)[1:],
        ("size_mm", "grade", "wll_kg", "wll_kg", "breaking_kn", "proof_kn", "design_factor",
         "latch", "overhead"),
        strict=True,
    )
)  # fmt: skip
"""The column of an item that each cell is read into."""

OTHER = GOOD | {"Item": "Alloy chain", "Size": "3/8", "WLL lb": "7100", "WLL kg": "3200"} | {
    "Breaking force (kN)": "126.3", "Proof force (kN)": "63"
}  # fmt: skip

SPOILT = st.sampled_from(
    ["?", "~", " or ", "O", "l", "#REF!", "$", "x", "not ", "/", "-", "+", "E+0", "k", "=\"", "'",
     ",", ".", " ", "\u00a0", "\u200b", "%", "ca. ", "max ", "(", ")", "*", "100", "70", "2x", "kg",
     "\uff18", "8-May", " EA", "½", "!", "<", "≥", "no ", "per ", "G", "C", "T", "in", "mm", " 5/8"]
)  # fmt: skip
ANY_TEXT = st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=12)


@st.composite
def spoilt(draw: st.DrawFn, good: str) -> str:
    """A cell that nearly says the right thing."""
    text = good
    for _ in range(draw(st.integers(0, 3))):
        at = draw(st.integers(0, len(text)))
        cut = draw(st.integers(0, 2))
        text = text[:at] + draw(SPOILT | ANY_TEXT) + text[at + cut :]
    return text


@cache
def layout_of(words: str, heading: str) -> Layout:
    """The list, with nothing beside its columns, or with descriptions that say it all again."""
    good = GOOD if words else GOOD | {"Item": "Alloy chain"}
    if not words and heading.startswith("WLL"):
        good = {h: c for h, c in good.items() if not h.startswith("WLL") or h == heading}
    rows = [{h: row[h] for h in good} | {"Item": good["Item"]} for row in [good, OTHER] * 4]
    rows[1::2] = [row | {"Item": "Alloy chain"} for row in rows[1::2]]
    (layout,) = layouts_of(pd.DataFrame(rows), ListOptions())
    return layout


@cache
def reference() -> pl.DataFrame:
    return reference_ratings(all_packages(()))


def outcomes(layout: Layout, heading: str, texts: list[str]) -> pl.DataFrame:
    """What becomes of the first row with each text under a heading."""
    (column,) = (c.column for c in layout.columns if c.heading == heading)
    body = layout.body.with_columns(pl.col("row").cast(pl.Int64))
    tried = pl.concat([body.head(1)] * len(texts)).with_columns(
        pl.Series(column, texts), pl.Series("row", range(1000, 1000 + len(texts)), dtype=pl.Int64)
    )
    whole = replace(layout, body=pl.concat([body, tried]))
    return match(items_of_layouts([whole]).items(), reference()).tail(len(texts))


def digits(text: str) -> str:
    plain = unicodedata.normalize("NFKC", text)
    return re.sub(r"\D", "", plain).strip("0")


@pytest.mark.parametrize("heading", [h for h in GOOD if h != "Item"])
def test_the_list_agrees_as_it_is(heading: str) -> None:
    for words in ("description", ""):
        layout = layout_of(words, heading)
        assert [c.role for c in layout.columns].count("ignore") == 0
        assert outcomes(layout, heading, [GOOD[heading]])["outcome"].to_list() == ["agree"]


@pytest.mark.parametrize("heading", [h for h in GOOD if h != "Item"])
def test_no_text_agrees_for_what_stands_beside_it(heading: str) -> None:
    @settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
    @given(st.lists(spoilt(GOOD[heading]) | ANY_TEXT, min_size=40, max_size=40))
    def holds(texts: list[str]) -> None:
        texts = [*dict.fromkeys(texts)]
        with_words = outcomes(layout_of("description", heading), heading, texts)
        alone = outcomes(layout_of("", heading), heading, texts)
        for text, beside, own in zip(texts, with_words.to_dicts(), alone.to_dicts(), strict=True):
            if beside["outcome"] == "agree":
                read = own["outcome"] == "agree" and own[FIELDS[heading]] is not None
                assert says_nothing(text) or read, text
            if "agree" in (beside["outcome"], own["outcome"]):
                assert says_nothing(text) or may_be_read(heading, text), text
            if beside["outcome"] == "not compared":
                assert beside["unread_cells"] is not None or beside["unread"], text

    holds()


def says_nothing(text: str) -> bool:
    """Whether a cell is a listed blank, or shows nothing at all."""
    shown = "".join(c for c in text if unicodedata.category(c)[0] in "LMNPS")
    return is_blank(text) or is_blank(shown)  # what is not seen takes nothing from a blank


def may_be_read(heading: str, text: str) -> bool:
    """Whether a text holds the digits, or the word, of what it would have to say."""
    plain = unicodedata.normalize("NFKC", text)
    if re.search(r"[?~≈±]", plain):
        return False
    if heading in ("Latch", "Overhead lifting"):
        return bool(re.search(r"\w|\+|-|✓|✔|✗|✘", plain))
    if re.search(r"\d[eE][+-]?\d", plain):
        return True
    if heading == "Grade":
        return "8" in plain or "T" in plain or "alloy" in plain.casefold()
    if heading == "Size":
        return bool(re.search(r"1\D{0,3}2|½|0?[.,]50*|13", plain))
    found, wanted = digits(text), digits(GOOD[heading])
    if heading in ("Design factor", "Breaking force (kN)", "Proof force (kN)"):
        return found != ""  # whatever number it is: that it is wrong, a rule tells
    # a number may be rounded, and the same in another unit may follow in brackets
    return found[:2] == wanted[:2] or found[:1] == wanted[:1]
