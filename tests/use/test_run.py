"""What ``in_use`` says, refuses, names and never does."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from command_line import here
from tallyhook.use.result import UseRefused
from tallyhook.use.run import in_use
from tallyhook.wording import CAUTION

TEN: dict[str, Any] = {"grade": 80, "size": 10}
CASES: list[dict[str, Any]] = [
    TEN,
    TEN | {"legs": 2, "angle": 40, "load_kg": 4000},
    TEN | {"legs": 4, "angle": 50, "asymmetric": True, "load_kg": 9000},
    TEN
    | {"by": "us", "legs": 3, "angle": 50, "angle_to": "vertical", "hitch": "choke"}
    | {"exposed_c": 500},
    TEN | {"by": "australian", "hitch": "basket", "angle": 20},
    TEN | {"kind": "hook", "form": "sorting", "load_angle": 35, "marked_kg": 3150},
    TEN | {"kind": "grab-hook", "shortened": "no-cradle"},
    TEN | {"legs": 2, "angle": 45, "shortened": "no-cradle", "shortened_legs": 1},
    TEN | {"components": [{"name": "hook", "grade": 80, "size": 8}]},
]


@pytest.mark.parametrize("case", CASES)
def test_every_answer_is_complete_and_claims_no_more_than_a_table_can(case: dict[str, Any]) -> None:
    left = in_use(**case)
    text = re.sub(r"\s+", " ", left.to_text())
    assert CAUTION in text
    assert ("published rating under these conditions" in text) is (left.basis == "published")
    assert left.basis != "marked" or "the marked rating under these conditions" in text
    assert not re.search(r"\b(safe to|is safe|safely)\b", text)
    assert f"Weakest part: {left.weakest}" in text
    for step in left.steps:
        assert (
            step.source
            and step.locator
            and step.known_by in ("published", "restated", "computed", "practice", "given")
        )
        assert step.locator in text
    assert json.loads(json.dumps(left.to_dict()))["caution"] == CAUTION
    assert {o.by for o in left.others} == {"european", "us", "australian"} - {left.by}


@pytest.mark.parametrize("case", CASES)
def test_the_lines_multiply_to_the_answer(case: dict[str, Any]) -> None:
    left = in_use(**case)
    kg = 0.0
    for step in left.steps:
        kg = kg * step.value if step.unit == "1" else step.left_kg
        assert step.left_kg == pytest.approx(kg)
    assert left.wll_kg == pytest.approx(kg)
    assert left.wll_lb == pytest.approx(kg / 0.45359237)  # exact: yard and pound agreement, 1959


@pytest.mark.parametrize(
    ("case", "said"),
    [
        (TEN | {"legs": 2, "angle": 61}, "60 deg to the vertical"),  # EN 818-4, EN 818-6
        (TEN | {"legs": 2}, "none was given"),
        (TEN | {"angle": 20}, "hangs plumb"),
        (TEN | {"legs": 5, "angle": 20}, "5 legs"),
        (
            TEN | {"by": "us", "legs": 2, "angle": 29, "angle_to": "horizontal"},
            "OSHA|safe sling use",
        ),
        (TEN | {"by": "us", "edge_radius_mm": 5}, "edge"),
        (TEN | {"by": "us", "legs": "endless"}, "endless"),
        (TEN | {"legs": "endless", "hitch": "straight"}, "choke hitch only"),  # EN 818-4, clause 5
        (TEN | {"by": "us", "legs": 2, "angle": 40, "asymmetric": True}, "symmetrical"),
        (TEN | {"by": "australian", "legs": 3, "angle": 40}, "3-leg"),
        (TEN | {"by": "australian", "size": 5}, "thinner than 5.5 mm"),  # NSW guide for doggers
        ({"by": "us", "grade": 70, "size": "3/8"}, "A413"),  # ASTM A413: not for overhead lifting
        ({"by": "us", "grade": 100, "size": "1-1/4"}, "from memory"),
        ({"grade": 80, "size": 12}, "no 12 mm"),  # EN 818-2 has 10 and 13 mm
        ({"grade": 70, "size": 10}, "grade 70"),
        (TEN | {"by": "us-tiedown"}, "393.108"),
        (TEN | {"by": "martian"}, "martian"),
        (TEN | {"hitch": "bridle"}, "bridle"),
        (TEN | {"legs": 2, "hitch": "basket", "angle": 20}, "one basket"),
        (TEN | {"temperature_c": 20, "exposed_f": 900}, "one of the two"),
        (TEN | {"kind": "hook", "form": "double", "load_position": "unequal-shares"}, "both sides"),
        (TEN | {"load_kg": 0}, "weighs"),
        (TEN | {"marked_kg": -1}, "marked"),
        (TEN | {"temperature_c": float("nan")}, "temperature"),
        (TEN | {"components": [{"name": "ring"}]}, "neither a rating"),
        (TEN | {"components": [{"form": "grab", "grade": 100, "size": 10}]}, "own grade"),
        (TEN | {"components": [{"form": "grab", "grade": 80, "size": 8}]}, "own nominal size"),
    ],
)
def test_what_the_documents_do_not_cover_is_refused(case: dict[str, Any], said: str) -> None:
    with pytest.raises(UseRefused, match=said):
        in_use(**case)


def test_a_refusal_carries_what_the_others_give() -> None:
    with pytest.raises(UseRefused) as refusal:
        in_use(by="us", **TEN, edge_radius_mm=15)
    others = {o.by: o for o in refusal.value.others}
    assert others["european"].wll_kg == pytest.approx(3150 * 0.7)  # EN 818-6, annex A
    assert others["australian"].wll_kg is None and "edge" in others["australian"].refused


def test_between_two_rows_the_stricter_one_holds_and_is_named() -> None:
    left = in_use(by="us", **TEN, legs=2, angle=50, angle_to="horizontal")
    step = left.steps[1]
    assert step.value == pytest.approx(1.414)  # the 45 degree column
    assert "40 deg takes the row to 45 deg" in step.note
    assert "1.532" in step.note  # 2 x sin 50 deg, beside it


def test_the_weakest_part_rates_the_sling() -> None:
    hook = {"name": "sling hook", "grade": 80, "size": 8}  # EN 818-2, 8 mm: 2 t
    left = in_use(**TEN, legs=2, angle=45, components=[hook])
    assert left.weakest == "sling hook"
    assert left.wll_kg == pytest.approx(1.4 * 2000)
    link = {"name": "master link", "where": "top", "wll_kg": 4000}
    capped = in_use(**TEN, legs=2, angle=45, components=[link])
    assert (capped.weakest, capped.wll_kg) == ("master link", pytest.approx(4000))
    strong = {"name": "master link", "where": "top", "wll_kg": 8000}
    own = {"name": "sling hook", "grade": 80, "size": 10}
    even = in_use(**TEN, legs=2, angle=45, components=[strong, own])
    assert (even.weakest, even.wll_kg) == ("the chain", pytest.approx(4250))


def test_a_marked_rating_governs_over_the_tables() -> None:
    left = in_use(by="us", **TEN, marked_lb=7000, legs=2, angle=60, angle_to="horizontal")
    assert left.wll_lb == pytest.approx(7000 * 1.732)
    # 29 CFR 1910.184(c)(13): no sling above its marked load; 49 CFR 393.108(b) is for tie-downs
    assert left.steps[0].source == "29-cfr-1910-184"
    assert (left.basis, left.unconfirmed, left.notes) == ("marked", "", ())
    tied = in_use(by="us-tiedown", **TEN, marked_lb=7000, lifting=False)
    assert tied.steps[0].source == "49-cfr-393-108"


@pytest.mark.parametrize(
    ("by", "size", "marked_kg", "times"),
    [
        # A391 family, 3/8 in grade 80: 7,100 lb (3,220.5 kg), the highest of the tables; EN 818-2: 3.15 t
        ("us", "3/8 in", 5000, "1.55 times the 7,100 lb"),
        ("european", "10 mm", 31500, "9.78 times the 7,100 lb"),
    ],
)
def test_a_marked_rating_above_every_table_is_not_confirmed(
    by: str, size: str, marked_kg: float, times: str
) -> None:
    left = in_use(by=by, grade=80, size=size, marked_kg=marked_kg, load_kg=0.9 * marked_kg)
    assert left.wll_kg == pytest.approx(marked_kg)  # the mark governs all the same
    assert times in left.unconfirmed and "maker's certificate" in left.unconfirmed
    assert left.verdict.startswith("within the marked rating") and "no table" in left.verdict
    assert "published rating" not in left.to_text() and "NOT CONFIRMED" in left.to_text()


def test_a_marked_rating_above_its_own_table_only_says_by_how_much() -> None:
    # EN 818-2, 10 mm: 3.15 t; the American table has 7,100 lb, which is above 3.2 t
    left = in_use(**TEN, marked_kg=3200)
    assert not left.unconfirmed
    assert any("1.02 times the 3.15 t" in n and "certificate" in n for n in left.notes)
    assert not in_use(**TEN, marked_kg=3150).notes


def test_a_marked_rating_without_a_table_is_not_confirmed() -> None:
    assert "no table" in in_use(grade=120, size=10, marked_kg=5000).unconfirmed


@pytest.mark.parametrize("by", ["us", "european", "australian"])
@pytest.mark.parametrize("rated", [{"size": "3/8"}, {"wll_kg": 3000}])
def test_a_part_of_a_grade_that_is_not_for_lifting_is_refused(
    by: str, rated: dict[str, Any]
) -> None:
    # ASTM A413/A413M-21, 1.1: grades 30, 43 and 70 are for other purposes than overhead lifting
    hook = {"name": "hook", "grade": 70} | rated
    with pytest.raises(UseRefused, match="not for lifting"):
        in_use(by=by, grade=80, size="3/8 in", components=[hook])
    with pytest.raises(UseRefused, match="not for lifting"):
        in_use(by=by, grade=70, size="3/8 in", marked_kg=3000)


def test_load_within_and_above() -> None:
    within, above = in_use(**TEN, load_kg=3150), in_use(**TEN, load_kg=3151)
    assert within.verdict.startswith("within the ") and "conditions" in within.verdict
    assert above.verdict == "above" + within.verdict.removeprefix("within")
    assert in_use(**TEN).within is None


@pytest.mark.parametrize(
    ("case", "basis"),
    [
        # DGUV Information 209-021, section 3, restates table 3 of EN 818-4: one leg of 10 mm
        (TEN, ("published", "restated")),
        (TEN | {"legs": 2, "angle": 45}, ("published", "restated")),
        # a factor makes another number of it: EN 818-6, 0.7 over an edge
        (TEN | {"edge_radius_mm": 15}, ("computed",)),
        (TEN | {"edge_radius_mm": 25}, ("published", "restated")),  # 1 over a round one
        (TEN | {"temperature_c": 250}, ("computed",)),
        (
            TEN | {"by": "us", "hitch": "basket", "angle": 30, "angle_to": "vertical"},
            ("published", "computed"),
        ),
        (TEN | {"by": "australian"}, ("rule of thumb",)),
        (TEN | {"marked_kg": 3000}, ("marked",)),
    ],
)
def test_the_answer_says_how_the_very_number_is_known(
    case: dict[str, Any], basis: tuple[str, ...]
) -> None:
    left = in_use(**case)
    assert left.basis in basis
    assert left.basis.split()[-1] in left.to_text() or left.basis == "marked"
    assert left.to_dict()["basis"] == left.basis


def test_a_heavy_share_of_the_rating_may_not_be_taken_as_symmetrical() -> None:
    # EN 818-6, annex A: only below 80 percent of the marked rating, and from 15 deg up
    assert any("80 percent" in n for n in in_use(**TEN, legs=2, angle=45, load_kg=3400).notes)
    assert not in_use(**TEN, legs=2, angle=45, load_kg=3399).notes
    assert any("below 15 deg" in n for n in in_use(**TEN, legs=2, angle=14).notes)


def test_shortening_one_leg_takes_the_whole_sling_down_and_says_why() -> None:
    one = in_use(**TEN, legs=2, angle=45, shortened="no-cradle", shortened_legs=1)
    both = in_use(**TEN, legs=2, angle=45, shortened="no-cradle")
    assert one.wll_kg == both.wll_kg
    assert "1 of 2 legs shortened" in one.steps[-1].note
    assert "share the load" not in both.steps[-1].note


def test_the_figure_for_grab_hooks_that_is_from_memory_is_never_used(
    packages: dict[str, Any],
) -> None:
    recalled = [
        r for r in packages["use"]["shortening-factors"].to_dicts() if r["known_by"] == "recalled"
    ]
    assert [r["factor"] for r in recalled] == [0.75]
    assert in_use(**TEN, shortened="no-cradle").steps[-1].value == pytest.approx(0.8)


@settings(deadline=None, max_examples=60)
@given(
    by=st.sampled_from(["european", "us", "australian"]),
    angles=st.lists(st.floats(0, 60), min_size=2, max_size=2).map(sorted),
    size=st.sampled_from([7, 8, 10, 13, 16]),
)
def test_a_flatter_leg_never_carries_more(by: str, angles: list[float], size: int) -> None:
    steep, flat = (
        in_use(by=by, grade=80, size=size, legs=2, angle=a, angle_to="vertical").wll_kg
        for a in angles
    )
    assert steep is not None and flat is not None
    assert flat <= steep


@settings(deadline=None, max_examples=60)
@given(angle=st.floats(0, 59.99), legs=st.sampled_from([2, 3]))
def test_no_leg_carries_more_than_its_own_rating_by_much(angle: float, legs: int) -> None:
    # equilibrium: each of n even legs carries W / (n cos angle); the tables stay within the
    # rating of one leg, but for the rounding of their factors (1.41, 1.732) and of 100 lb
    from math import cos, radians

    for by, one in (("european", 3203.5), ("us", 7100 * 0.45359237)):
        told: dict[str, Any] = {"legs": legs, "angle": angle, "angle_to": "vertical"}
        whole = in_use(by=by, grade=80, size=10, **told).wll_kg
        assert whole is not None
        assert whole / (legs * cos(radians(angle))) <= one * 1.005


# --- hooks: special-hook-ratings and the scope of EN 1677-1 say what is rated as its chain ---


@pytest.mark.parametrize(
    ("form", "said"),
    [
        ("s-hook", "no table rates a s-hook"),  # common practice: most carry no rating
        ("j-hook", "no table rates"),
        ("grab", "with its cradle or without"),  # AS 3775.2: 75 percent without support
        ("cradle-grab", "with its cradle or without"),
        ("boathook", "is no form of a hook"),
    ],
)
def test_a_hook_that_no_table_rates_is_refused(form: str, said: str) -> None:
    with pytest.raises(UseRefused, match=said):
        in_use("hook", grade=80, size=10, form=form)


@pytest.mark.parametrize("form", ["s-hook", "boathook"])
def test_a_component_that_no_table_rates_is_refused(form: str) -> None:
    with pytest.raises(UseRefused, match=r"no table rates|is no form"):
        in_use(grade=80, size=10, components=[{"form": form, "grade": 80, "size": 10}])


@pytest.mark.parametrize("value", ["abc", None, 0, -1, float("inf"), float("nan"), [1]])
def test_a_rating_that_is_no_load_is_one_sentence(value: Any) -> None:
    with pytest.raises(UseRefused, match="is a load above nothing, not"):
        in_use(grade=80, size=10, components=[{"name": "hook", "wll_kg": value}])
    if value is not None:
        with pytest.raises(UseRefused, match="the marked rating is a load above nothing"):
            in_use(grade=80, size=10, marked_kg=value)


def test_a_sorting_hook_in_a_sling_is_rated_by_its_maker_and_its_load_angle() -> None:
    hook = {"form": "sorting", "grade": 80, "size": 10}
    with pytest.raises(UseRefused, match="give the marked rating"):
        in_use(grade=80, size=10, components=[hook], load_angle=35)
    marked = hook | {"wll_kg": 2000}
    left = in_use(grade=80, size=10, components=[marked], load_angle=35)
    assert left.wll_kg == pytest.approx(2000)
    with pytest.raises(UseRefused, match="give the load angle"):
        in_use(grade=80, size=10, components=[marked])
    with pytest.raises(UseRefused, match="ask the maker"):
        in_use(grade=80, size=10, components=[marked], load_angle=50)


def test_a_component_marked_above_its_table_is_not_confirmed() -> None:
    # EN 818-2: 10 mm grade 8 is 3.15 t
    hook = {"name": "hook", "grade": 80, "size": 10, "wll_kg": 9000}
    left = in_use(grade=80, size=10, components=[hook])
    assert "the marked rating of the hook" in left.unconfirmed
    assert not in_use(grade=80, size=10, components=[hook | {"wll_kg": 3150}]).unconfirmed
    text = "name=hook,grade=80,size=10,wll_kg=9000"
    done = here("in-use", "--grade", "80", "--size", "10", "--component", text)
    assert done.returncode == 1 and "NOT CONFIRMED" in done.stdout
