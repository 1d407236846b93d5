"""Whether things fit: what goes in a hook, two legs on it, a grab hook on its chain."""

from __future__ import annotations

from typing import Any

import pytest

from tallyhook.use.fit import fit
from tallyhook.use.result import UseRefused
from tallyhook.wording import CAUTION


@pytest.mark.parametrize(
    ("given", "verdict"),
    [
        ({"throat_mm": 30, "item_mm": 28}, "fits"),
        ({"throat_mm": 30, "item_mm": 30}, "does not fit"),
        ({"bowl_mm": 30, "item_mm": 30}, "fits"),
        ({"bowl_mm": 30, "item_mm": 31}, "does not fit"),
        ({"legs_on_hook": 2, "included_deg": 90}, "fits"),  # ASME B30.10 as restated: 45 deg a side
        ({"legs_on_hook": 2, "included_deg": 91}, "does not fit"),
        ({"legs_on_hook": 3, "included_deg": 60}, "does not fit"),  # 10-1.11.1(e): more than two
        ({"legs_on_hook": 1}, "fits"),
        ({"legs_on_hook": 2}, "not settled"),
        ({"grab": (80, "3/8"), "chain": (80, 10)}, "fits"),  # 49 CFR 393.108: 3/8 in is 10 mm
        ({"sling_width_mm": 60, "hook_width_mm": 60}, "fits"),
        ({"sling_width_mm": 61, "hook_width_mm": 60}, "does not fit"),
        ({"link_width_mm": 120, "crane_hook_mm": 100}, "fits"),  # ISO 4778, 4.2.2 b): 1.2 times
        ({"link_width_mm": 119, "crane_hook_mm": 100}, "does not fit"),
    ],
)
def test_fit(given: dict[str, Any], verdict: str) -> None:
    answer = fit(**given)
    assert {c.verdict for c in answer.checks} == {verdict}
    assert answer.fits == (verdict == "fits")
    assert " ".join(CAUTION.split()) in " ".join(answer.to_text().split())


def test_a_grab_hook_fits_only_its_own_chain() -> None:
    # MIL-DTL-6458G, 3.4: links of the stated size; common practice: its own grade
    thin = {c.name: c.verdict for c in fit(grab=(80, 10), chain=(80, 8)).checks}
    assert thin == {"size of the grab hook": "does not fit", "grade of the grab hook": "fits"}
    soft = {c.name: c.verdict for c in fit(grab=(80, 10), chain=(70, 10)).checks}
    assert soft == {"size of the grab hook": "fits", "grade of the grab hook": "does not fit"}


def test_legs_too_wide_for_a_hook_go_to_a_ring_up_to_120_degrees() -> None:
    # trade article after ASME B30.26: 60 degrees each side
    [ring] = fit(included_deg=120).checks
    assert "takes them to 120" in ring.reason
    [longer] = fit(included_deg=121).checks
    assert "longer legs" in longer.reason


@pytest.mark.parametrize(
    "given",
    [
        {},
        {"throat_mm": 30},
        {"throat_mm": -1, "item_mm": 2},
        {"legs_on_hook": 0},
        {"included_deg": 180},
    ],
)
def test_fit_refuses_what_cannot_be_asked(given: dict[str, Any]) -> None:
    with pytest.raises(UseRefused):
        fit(**given)
