"""Whether a removal limit itself is already too much, by the words of each document.

`or more` is at the figure, `more than` above it. Typed from the documents or their restatements;
`read as` is what a restatement says where the document's own words were not read.
"""

from __future__ import annotations

from typing import Any

import pytest

from tallyhook.packages.package import Package
from tallyhook.use.limits import limits

AT = "at-or-above"
ABOVE = "above"
WORDS = {
    # Occupational Health and Safety Code, Alberta
    ("alberta-ohs-code", "throat-opening"): ("309(a): increased by more than 15 percent", ABOVE),
    ("alberta-ohs-code", "twist"): ("309(b): more than 10 degrees", ABOVE),
    ("alberta-ohs-code", "area-loss"): ("309(c): lost 10 percent or more", AT),
    # the labour law of the United States: more than 15 percent, more than 10 degrees; exceeds 5
    ("29-cfr-1910-179", "throat-opening"): ("(j)(2)(iii): more than 15 percent", ABOVE),
    ("29-cfr-1910-179", "twist"): ("(j)(2)(iii): more than 10", ABOVE),
    ("29-cfr-1910-180", "throat-opening"): ("(d)(3)(v): more than 15 percent", ABOVE),
    ("29-cfr-1910-180", "twist"): ("(d)(3)(v): more than 10", ABOVE),
    ("29-cfr-1910-181", "throat-opening"): ("(d)(2)(vi): more than 15 percent", ABOVE),
    ("29-cfr-1910-181", "twist"): ("(d)(2)(vi): more than 10", ABOVE),
    ("29-cfr-1910-184", "throat-opening"): ("(e)(9)(ii): opened more than 15 percent", ABOVE),
    ("29-cfr-1910-184", "twist"): ("(e)(9)(ii): twisted more than 10 degrees", ABOVE),
    ("29-cfr-1910-184", "high-temperature"): ("(e)(6): above 1000 degF", ABOVE),
    ("29-cfr-1910-184", "derating-temperature"): ("(e)(6): above 600 degF", ABOVE),
    ("29-cfr-1915", "stretch"): ("1915.112(c)(4): more than 5 percent", ABOVE),
    ("29-cfr-1917", "stretch"): ("1917.42(h)(3)(iv): more than 5 percent", ABOVE),
    ("29-cfr-1918", "stretch"): ("1918.62(h)(3)(iv): more than 5 percent", ABOVE),
    ("29-cfr-1919", "stretch"): ("1919.25: more than 5 percent", ABOVE),
    ("wac-296-155-55800", "throat-opening"): (
        "table 12: any over 5 percent, not over 1/4 in",
        ABOVE,
    ),
    ("wac-296-155-55800", "wear"): ("table 12: over 10 percent", ABOVE),
    ("wac-296-155-55800", "high-temperature"): ("above 1000 degF", ABOVE),
    # standards and handbooks
    ("asme-b30-9", "high-temperature"): ("above 1000 degF", ABOVE),
    ("asme-b30-9", "low-temperature"): ("-40 degF and below", "at-or-below"),
    ("asme-b30-10", "throat-opening"): ("over 5 percent, not to exceed 1/4 in", ABOVE),
    ("asme-b30-10", "wear"): ("exceeding 10 percent", ABOVE),
    ("asme-b30-26", "wear"): ("26-4.8.4(f): read as over 10 percent", ABOVE),
    ("doe-std-1090-96", "throat-opening"): ("15.4.6.3 c: more than 15 percent", ABOVE),
    ("doe-std-1090-96", "twist"): ("15.4.6.3 c: more than 10 degrees", ABOVE),
    ("doe-std-1090-96", "deformation"): ("15.4.8 a.1: more than 15 percent", ABOVE),
    ("usace-em-385-1-1", "throat-opening"): ("15.E.07: more than 5 percent", ABOVE),
    ("usace-em-385-1-1", "wear"): ("15.E.07: exceeding 10 percent", ABOVE),
    ("navedtra-14081", "throat-opening"): ("more than 15 percent", ABOVE),
    ("navedtra-14081", "twist"): ("more than 10 degrees", ABOVE),
    ("navedtra-14251", "stretch"): ("more than 5 percent", ABOVE),
    ("navedtra-14251", "wear"): ("more than 25 percent", ABOVE),
    ("navedtra-14251", "derating-temperature"): ("above 500 degF", ABOVE),
    ("mil-h-904j", "wear"): ("exceeding 10 percent", ABOVE),
    ("army-ps-622", "wear"): ("over 3/64 in", ABOVE),
    ("astm-a906", "scope-high-temperature"): ("above 400 degF", ABOVE),
    ("astm-a973", "scope-high-temperature"): ("above 400 degF", ABOVE),
    ("astm-a973", "scope-low-temperature"): ("below -20 degF", "below"),
    ("dguv-209-021", "stretch"): ("section 2: 5 percent or more", AT),
    ("dguv-209-021", "wear"): ("section 2: more than 10 percent below nominal", ABOVE),
    ("bg-bau-slings", "stretch"): ("stretched by more than 5 percent", ABOVE),
    ("en-818-6", "wear"): ("annex A: the mean not below 0.9 of nominal", ABOVE),
    ("en-818-6", "high-temperature"): ("not above 475, 400 degC", ABOVE),
    ("european-grade-10-practice", "high-temperature"): ("to 200 degC", ABOVE),
    ("as-3775", "high-temperature"): ("not above 400 degC", ABOVE),
    ("din-15405-1", "gauge-length"): ("not above 1.1 of nominal", ABOVE),
    ("din-15405-1", "seat-height"): ("not below 0.95 of nominal", ABOVE),
    ("gb-t-10051", "throat-opening"): ("read as not above 15 percent", ABOVE),
    ("gb-t-10051", "twist"): ("read as not above 10 degrees", ABOVE),
    ("gb-t-10051", "wear"): ("read as not above 10 percent", ABOVE),
    ("nsw-dogging-guide", "stretch"): ("read as at most 10 percent", ABOVE),
    ("nsw-dogging-guide", "throat-opening"): ("read as at most 5 percent", ABOVE),
    ("nsw-dogging-guide", "wear"): ("read as at most 10 percent", ABOVE),
    ("qld-doggers-guide", "stretch"): ("at most 10 percent", ABOVE),
    ("qld-doggers-guide", "wear"): ("at most 10 percent", ABOVE),
    ("qld-doggers-guide", "throat-opening"): ("at most 5 percent", ABOVE),
    ("qld-doggers-guide", "derating-temperature"): ("not above 260 degC without charts", ABOVE),
    ("iso-16855", "wear"): ("wastage over 10 percent", ABOVE),
    ("bgr-500-chapter-2-8", "throat-opening"): ("widened by more than 10 percent", ABOVE),
    ("bgr-500-chapter-2-8", "wear"): ("more than 5 percent", ABOVE),
    ("bgr-500-chapter-2-8", "stretch"): ("more than 5 percent, one link too", ABOVE),
    # laws of more countries
    ("india-dock-workers-1990", "wear"): ("10 percent or more of any dimension: renewed", AT),
    ("india-dock-workers-1990", "stretch"): ("more than 5 percent: withdrawn", ABOVE),
    ("korea-safety-rules", "throat-opening"): ("96(2)5: 10 percent or more over the maker's", AT),
    ("iso-16877", "scope-high-temperature"): ("to 200 degC", ABOVE),
    ("iso-16877", "scope-low-temperature"): ("from -10 degC", "below"),
    ("iso-3076", "scope-high-temperature"): ("to 400 degC", ABOVE),
    ("iso-3076", "scope-low-temperature"): ("from -40 degC", "below"),
}


def test_every_limit_that_is_a_number_is_compared_by_the_words_of_its_document(
    packages: dict[str, Package],
) -> None:
    rows = packages["inspection"]["limits"].to_dicts()
    measured = [r for r in rows if r["comparison"] not in ("any", "table")]
    seen = {}
    for row in measured:
        key = (row["source"], row["criterion"])
        assert key in WORDS, f"{row['rating_id']}: type here what its document says"
        assert row["comparison"] == WORDS[key][1], (row["rating_id"], WORDS[key][0])
        seen[key] = row
    assert set(seen) == set(WORDS)


# by document: what is measured, as new, at the limit, and a hair on either side of it
EXACTLY: list[tuple[str, dict[str, Any], str, float, bool]] = [
    ("alberta-ohs-code", {"area_mm2": 1000}, "area", 900, True),  # 309(c): 10 percent or more
    ("alberta-ohs-code", {"area_mm2": 1000}, "area", 900.01, False),
    ("alberta-ohs-code", {"throat_mm": 40}, "throat", 46, False),  # 309(a): more than 15 percent
    ("alberta-ohs-code", {"throat_mm": 40}, "throat", 46.01, True),
    ("alberta-ohs-code", {}, "twist", 10, False),  # 309(b): more than 10 degrees
    ("alberta-ohs-code", {}, "twist", 10.01, True),
]


@pytest.mark.parametrize(("document", "as_new", "what", "value", "past"), EXACTLY)
def test_alberta_309_at_the_very_limit(
    document: str, as_new: dict[str, Any], what: str, value: float, past: bool
) -> None:
    card = limits("hook", documents=(document,), measured={what: value}, **as_new)
    assert bool(card.past) is past


def test_a_limit_that_is_already_too_much_is_shown_so() -> None:
    text = limits("hook", documents=("alberta-ohs-code",), area_mm2=1000).to_text()
    assert "from 900 mm2 down" in text
    text = limits("chain", size=10, length_mm=300, documents=("dguv-209-021",)).to_text()
    assert "from 315 mm up" in text
