"""Rules of use that the documents print: each named by its clause, and found in the packages."""

from __future__ import annotations

import pytest

from tallyhook.packages.package import Package
from tallyhook.use.result import UseRefused
from tallyhook.use.run import in_use

# (package, table, source, clause, words of the rule)
RULES = [
    # 29 CFR 1910.184(c): not shortened with knots or bolts or other makeshift devices; shock loading
    # is prohibited; not pulled from under a load that rests on the sling
    ("use", "sling-rules", "29-cfr-1910-184", "1910.184(c)(2)", "knots, bolts or makeshift"),
    ("use", "sling-rules", "29-cfr-1910-184", "1910.184(c)(7)", "edge"),
    ("use", "sling-rules", "29-cfr-1910-184", "1910.184(c)(9)", "Nobody"),
    ("use", "sling-rules", "29-cfr-1910-184", "1910.184(c)(11)", "shock"),
    ("use", "sling-rules", "29-cfr-1910-184", "1910.184(c)(12)", "pulled from under"),
    ("use", "sling-rules", "29-cfr-1915", "1915.112(c)(7)", "bolting, wiring or knotting"),
    ("use", "sling-rules", "29-cfr-1917", "1917.42(h)(6)", "bolting"),
    ("use", "sling-rules", "29-cfr-1918", "1918.62(h)(6)", "bolting"),
    ("use", "sling-rules", "29-cfr-1917", "1917.42(h)(5)", "Never annealed"),
    ("use", "sling-rules", "29-cfr-1918", "1918.62(h)(5)(i)", "Never annealed"),
    ("use", "sling-rules", "29-cfr-1917", "1917.42(h)(1)", "B30.9-1971"),
    ("use", "sling-rules", "ca-8-ccr-5042", "5042(a)(13)", "hoisting"),
    ("use", "sling-rules", "ohio-4123-1-3-08", "4123:1-3-08(C)(7)", "choker"),
    # wrought iron is annealed every six months
    ("inspection", "intervals", "29-cfr-1917", "1917.42(h)(5)", "6 months"),
    ("inspection", "intervals", "29-cfr-1918", "1918.62(h)(5)(i)", "6 months"),
    # bent or sprung hooks: 1915.113(b)(3), 1918.62(j)(2); load in the throat only: (b)(2), (j)(5)
    ("inspection", "limits", "29-cfr-1915", "1915.113(b)(3)", "sprung"),
    ("inspection", "limits", "29-cfr-1918", "1918.62(j)(2)", "sprung"),
    ("use", "hook-use-rules", "29-cfr-1915", "1915.113(b)(2)", "throat"),
    ("use", "hook-use-rules", "29-cfr-1918", "1918.62(j)(5)", "throat"),
    # EM 385-1-1: open hooks are prohibited, but for those of one purpose
    ("use", "hook-use-rules", "usace-em-385-1-1", "15.E.07", "as their makers say"),
    # Occupational Health and Safety Code, Alberta: (1) a latch, mousing or shackle; (2) not where it
    # would endanger the worker who unhooks; (3) a sorting hook for skeleton steel, where safer
    ("use", "hook-use-rules", "alberta-ohs-code", "303(1)", "mousing"),
    ("use", "hook-use-rules", "alberta-ohs-code", "303(2)", "without a latch"),
    ("use", "hook-use-rules", "alberta-ohs-code", "303(3)", "safer"),
    # Quebec: a safety catch; the construction code prints no exception
    ("use", "hook-use-rules", "quebec-construction-code", "S-2.1 r.4, s. 2.15.6(7)", "catch"),
    ("use", "hook-use-rules", "quebec-safety-and-health", "S-2.1 r.13, s. 255(8)", "catch"),
]


@pytest.mark.parametrize(("package", "table", "source", "clause", "words"), RULES)
def test_a_rule_of_use_by_its_clause(
    packages: dict[str, Package], package: str, table: str, source: str, clause: str, words: str
) -> None:
    rows = packages[package][table].filter(source=source, locator=clause).to_dicts()
    assert any(words in " ".join(str(v) for v in row.values()) for row in rows)


def test_no_label_stands_that_nobody_confirmed(packages: dict[str, Package]) -> None:
    # clauses (iv) and (v) "of Hong Kong" may be South Africa's Driven Machinery Regulation 18
    for package in packages.values():
        for name in package.resources:
            for row in package[name].to_dicts():
                assert "hong-kong-lifting-law" not in (row.get("source"), row.get("rating_id"))


def test_what_one_page_alone_says_of_use_has_no_number_and_refuses_nothing(
    packages: dict[str, Package],
) -> None:
    for package in ("use", "inspection"):
        for name in packages[package].resources:
            for row in packages[package][name].to_dicts():
                if row.get("source") == "single-page-practice":
                    numbers = [v for v in row.values() if isinstance(v, int | float)]
                    assert row["known_by"] == "recalled" and not numbers, row
    for row in packages["hooks"]["suits"].to_dicts():
        if row["source"] == "single-page-practice":
            assert row["known_by"] == "recalled" and row["verdict"] != "refused", row


def test_what_heat_leaves_for_good_is_said_by_the_american_table_alone() -> None:
    # ASME B30.9, table 9-1.8.1-1: 0.95 after 600 degF; EN 818-6 has no such column
    left = in_use(by="us", grade=80, size="3/8 in", exposed_f=600)
    assert left.wll_lb == pytest.approx(0.95 * 7100)
    with pytest.raises(UseRefused, match="for good"):
        in_use(by="european", grade=80, size=10, exposed_c=300)
