"""Ratings in use by the law of a country, against the clauses.

Occupational Health and Safety Code, Alberta, 292(1): 20 percent of the breaking strength, 10 with a
worker, 25 where fatigue rated. SOR/2007-128 (Canada), schedule 6: chains 4.5, other loose gear 5.
Safety Ordinance for Cranes (Japan), 213-2: 5. Decree 111/990 (Uruguay), 102: a fifth, and legs at
most 90 degrees apart. S-2.1 r.15 (Quebec), 115: 10. Mine regulations (Namibia), 14.2: 6. The tables
of grade 80 have 4.
"""

from __future__ import annotations

from typing import Any

import pytest

from command_line import here
from tallyhook.packages.package import Package
from tallyhook.use.result import UseRefused
from tallyhook.use.run import in_use

TEN: dict[str, Any] = {"grade": 80, "size": 10}
# EN 818-4, table 3: 3,150 kg; OSHA's table 1 has 7,100 lb (3,220 kg) for it, which is more


@pytest.mark.parametrize(
    ("law", "factor"),
    [("alberta", 5), ("canada-cargo", 4.5), ("japan", 5), ("korea", 5), ("uruguay", 5),
     ("quebec-foundry", 10)],
)  # fmt: skip
def test_a_law_brings_the_lowest_table_down(law: str, factor: float) -> None:
    left = in_use(by=law, **TEN)
    assert left.wll_kg == pytest.approx(3150 * 4 / factor)
    assert left.by == law and left.basis == "computed"
    # a fifth of the breaking force of 10 mm grade 8, 125.66 kN: EN 818-2
    assert left.wll_kg is not None and left.wll_kg * 9.80665e-3 <= 125.66 / factor
    # EN 818-4, table 3: 4,250 kg for two legs to 45 deg
    two = in_use(by=law, **TEN, legs=2, angle=45)
    assert two.wll_kg == pytest.approx(4250 * 4 / factor)


def test_no_law_lets_more_pass_than_the_tables(packages: dict[str, Package]) -> None:
    laws = set(packages["use"]["law-factors"]["law"])
    for law in sorted(laws):
        for case in ({}, {"temperature_c": 250}, {"hitch": "choke"}, {"size": 13}):
            for kind in ("sling", "chain", "hook"):
                told = TEN | case
                if kind != "sling" and "hitch" in case:
                    continue
                try:
                    left = in_use(kind, by=law, **told).wll_kg
                except UseRefused:
                    continue
                table = in_use(kind, by="european", **told).wll_kg
                assert left is not None and table is not None and left <= table + 1e-6


def test_a_hook_has_a_factor_of_its_own() -> None:
    assert in_use("hook", by="canada-cargo", **TEN).wll_kg == pytest.approx(3150 * 4 / 5)
    # Korea, article 163: 3 for a hook, and the table's 4 stands
    assert in_use("hook", by="korea", **TEN).wll_kg == pytest.approx(3150)


def test_a_law_of_lifting_machines_rates_no_sling() -> None:
    assert in_use("chain", by="namibia-mines", **TEN).wll_kg == pytest.approx(3150 * 4 / 6)
    with pytest.raises(UseRefused, match="no factor for a sling"):
        in_use(by="namibia-mines", **TEN)


def test_legs_in_uruguay_hang_at_most_90_degrees_apart() -> None:
    with pytest.raises(UseRefused, match="45 degrees"):
        in_use(by="uruguay", **TEN, legs=2, angle=46)


def test_what_is_asked_for_people_is_told_and_a_mark_is_not_guessed_at() -> None:
    assert any("292(1)(a)" in note and "10" in note for note in in_use(by="alberta", **TEN).notes)
    with pytest.raises(UseRefused, match="marked rating"):
        in_use(by="alberta", **TEN, marked_kg=3150)
    with pytest.raises(UseRefused, match="lifted"):
        in_use("chain", by="alberta", **TEN, lifting=False)


def test_the_command_takes_a_law() -> None:
    done = here("in-use", "--by", "alberta", "--grade", "80", "--size", "10")
    text = " ".join(done.stdout.split())
    assert done.returncode == 0 and "2.52 t" in text and "292(1)(b)" in text
    assert "european: 3.15 t" in text


def test_every_law_is_a_document_that_was_read(packages: dict[str, Package]) -> None:
    kinds = dict(packages["sources"]["documents"].select("source", "kind").iter_rows())
    for row in packages["use"]["law-factors"].to_dicts():
        assert kinds[row["source"]] == "law" and row["known_by"] in ("published", "restated")
