"""The case that ``in_use`` is asked about: what makes no sense whatever the documents say."""

from __future__ import annotations

import pytest

from tallyhook.use.case import (
    Heat,
    configuration_of,
    hitch_of,
    leg_angles,
    load_of,
    marked_rating,
    temperatures,
    uneven_share,
)
from tallyhook.use.result import UseRefused


def test_temperatures_are_in_one_scale() -> None:
    none = dict.fromkeys(("in_use_c", "in_use_f", "before_c", "before_f"))
    assert temperatures(**none) == Heat()
    assert temperatures(**none | {"in_use_c": 250.0}) == Heat(in_use=250.0)
    assert temperatures(**none | {"before_f": 0.0}) == Heat(before=0.0, scale="f")
    assert temperatures(**none | {"in_use_f": 480.0, "before_f": 600.0}) == Heat(
        in_use=480.0, before=600.0, scale="f"
    )
    for celsius in ("in_use_c", "before_c"):
        for fahrenheit in ("in_use_f", "before_f"):
            with pytest.raises(UseRefused, match="in degC and in degF"):
                temperatures(**none | {celsius: 0.0, fahrenheit: 0.0})


def test_only_a_sling_has_legs() -> None:
    assert configuration_of("sling", 3) == "3-leg"
    assert configuration_of("hook", 1) == "1-leg"
    with pytest.raises(UseRefused, match="a hook has no legs; name a sling"):
        configuration_of("hook", 2)


def test_the_hitch_is_straight_unless_the_sling_is_endless() -> None:
    assert hitch_of(None, "2-leg") == "straight"
    assert hitch_of(None, "endless") == "choke"
    assert hitch_of("basket", "endless") == "basket"
    with pytest.raises(UseRefused, match="'bridle' is no hitch"):
        hitch_of("bridle", "1-leg")


def test_leg_angles_are_turned_to_the_vertical() -> None:
    assert leg_angles(None, "horizontal") == []
    assert leg_angles(60, "horizontal") == [30.0]
    assert leg_angles([60, 90], "included") == [30.0, 45.0]


def test_a_marked_rating_is_given_once() -> None:
    assert marked_rating(None, None) is None
    assert marked_rating(3150, None) == 3150
    assert marked_rating(None, 7100) == pytest.approx(3220.505827)  # 1 lb is 0.45359237 kg
    with pytest.raises(UseRefused, match="given twice"):
        marked_rating(3150, 7100)
    with pytest.raises(UseRefused, match="a load above nothing"):
        marked_rating(0, None)


@pytest.mark.parametrize("load", [0, -1, float("nan")])
def test_a_load_weighs_something(load: float) -> None:
    with pytest.raises(UseRefused, match="a load weighs something"):
        load_of(load)


@pytest.mark.parametrize(
    ("angles", "plan", "why"),
    # EN 818-6, annex A, as restated: symmetry may be assumed where all legs hang at 15 deg or
    # more, no two angles differ by more than 15 deg, nor those seen from above
    [
        ([30, 45], None, ""),
        ([30, 45.1], None, "the leg angles differ by 15.1 deg"),
        ([15, 20], None, ""),
        ([14, 20], None, "a leg hangs at 14 deg, below 15 deg"),
        ([10], None, ""),
        ([30, 30, 30], [115, 130, 115], ""),
        ([30, 30, 30], [110, 130, 120], "the angles between the legs in plan differ by 20 deg"),
    ],
)
def test_an_uneven_load_is_known_by_its_angles(
    angles: list[float], plan: list[float] | None, why: str
) -> None:
    assert uneven_share(angles, plan, stated=False) == why
    assert uneven_share(angles, plan, stated=True) == "the load is stated to be uneven"
