"""What is said of a contradicted load: the rating to show, its source, and the notes beside it.

10 mm grade 80: 3,150 kg (EN 818-2), 7,100 lb and 3,200 kg (chain specifications, 49 CFR 393.108);
two legs 4,250 kg to 45 degrees to the vertical, 3,150 to 60 (EN 818-4), 12,300, 10,000 and 7,100 lb
at 30, 45 and 60 (legs x sine, common practice).
"""

from __future__ import annotations

from typing import Any

import pytest

from cause_items import item
from checked_lists import checked_row
from tallyhook.explaining.candidates import Knowledge
from tallyhook.explaining.expected import Explanation, explanation
from tallyhook.explaining.mistakes import Prediction
from tallyhook.explaining.weigh import Verdict

TEN = {"kind": "chain", "grade": 80, "size_mm": 10.0}
SLING = TEN | {"kind": "sling", "legs": 2}
GRAB = TEN | {"kind": "grab-hook"}


@pytest.fixture
def said(known: Knowledge) -> Any:
    """Explain a load: by a cause that means one of the item's ratings, or by none."""

    def of(
        fields: dict[str, Any], kg: float, unit: str = "kg", *, meant: float | None = None,
        followed: str | None = None, sure: float = 0.8123, how: str = "so it was",
    ) -> Explanation:  # fmt: skip
        wrong = item(**fields, wll_kg=kg, wll_unit=unit)
        prediction, cause = None, "unexplained"
        if meant is not None:
            rating = next(r for r in known.series.own(wrong) if r.value == meant)
            prediction, cause = Prediction(kg=kg, meant=rating, share=1.0, how=how), "rounded"
        verdict = Verdict(
            causes=((cause, sure), ("digit-mistyped", 0.1)),
            unexplained="unexplained",
            prediction=prediction,
        )
        return explanation(verdict, wrong, known.series, followed)

    return of


def test_an_explained_load_is_told_whole(said: Any) -> None:
    assert said(TEN | {"scheme": "european"}, 6300.0, meant=3150) == Explanation(
        cause="rounded", confidence=0.812, other_causes=["digit-mistyped"], expected="3,150 kg",
        expected_kg=3150, rating_id="chain/european/80/10mm", ratio=pytest.approx(2),
        source="en-818-2", locator="table of dimensions and ratings", note="so it was",
    )  # fmt: skip


def test_an_unexplained_load_has_no_confidence_and_no_reason(said: Any) -> None:
    told = said(TEN | {"scheme": "european"}, 6300.0)
    assert (told.cause, told.confidence, told.note) == ("unexplained", None, None)
    assert told.other_causes == ["digit-mistyped"]


@pytest.mark.parametrize(
    ("fields", "kg", "unit", "followed", "expected"),
    [
        # nothing is claimed: the lowest
        (TEN, 9000.0, "kg", None, "3,150 kg"),
        (TEN, 9000.0, "t", None, "3.15 t"),
        # the list follows a scheme: its rating, in the list's own system of units
        (TEN, 9000.0, "kg", "us-chain", "3,200 kg"),
        (TEN, 9000.0, "lb", "us-chain", "7,100 lb"),
        (TEN, 9000.0, "lb", "european", "6,944 lb (3,150 kg)"),
        (TEN, 9000.0, "kg", "old-grade-6", "3,150 kg"),  # it has none: as if none were followed
        # inches and pounds: nobody else names them so
        (TEN | {"size_in": "3/8"}, 9000.0, "lb", None, "7,100 lb"),
        (TEN | {"size_in": "3/8"}, 9000.0, "kg", None, "3,150 kg"),
        (TEN | {"size_in": "3/8"}, 9000.0, "lb", "european", "6,944 lb (3,150 kg)"),
        (TEN, 9000.0, "lb", None, "6,944 lb (3,150 kg)"),
    ],
)
def test_the_rating_to_show_where_nothing_explains_the_load(
    fields: dict[str, Any], kg: float, unit: str, followed: str | None, expected: str, said: Any
) -> None:
    assert said(fields, kg, unit, followed=followed).expected == expected


@pytest.mark.parametrize(
    ("fields", "kg", "meant", "followed", "expected"),
    [
        # a size in millimetres: the metric system, whichever rating the cause means
        (TEN, 9000.0, 3200, None, "3,150 kg"),
        (TEN | {"size_in": "3/8"}, 9000.0, 3150, None, "3,200 kg"),
        (TEN, 9000.0, 3150, "us-chain", "3,200 kg"),
        # two legs at no angle: the figure nearest to the load
        (SLING | {"scheme": "european"}, 9000.0, 4250, None, "4,250 kg"),
        (SLING | {"scheme": "european"}, 900.0, 4250, None, "3,150 kg"),
        # though never that of the laxer reading
        (SLING | {"scheme": "european", "angle_if_vertical_deg": 60.0, "angle_if_horizontal_deg": 30.0},
         9000.0, 4250, None, "3,150 kg"),
        (SLING | {"scheme": "european", "angle_to_deg": 45.0}, 9000.0, 4250, None, "4,250 kg"),
        (SLING | {"scheme": "european", "angle_to_deg": 60.0}, 9000.0, 3150, None, "3,150 kg"),
    ],
)  # fmt: skip
def test_the_rating_to_show_beside_a_cause(
    fields: dict[str, Any], kg: float, meant: float, followed: str | None, expected: str, said: Any
) -> None:
    assert said(fields, kg, meant=meant, followed=followed).expected == expected


def test_the_usual_deduction_is_shown_and_never_the_rarer_one(said: Any) -> None:
    # a fifth less is 2,520 kg, a quarter 2,362.5
    bare = GRAB | {"cradle": "no", "scheme": "european"}
    assert said(bare, 9000.0).expected == "2,520 kg"
    assert said(bare, 100.0, meant=2362.5).expected == "2,520 kg"
    assert said(bare, 9000.0).source == "common-practice"


def test_a_sling_without_an_angle_says_for_which_the_rating_is(said: Any) -> None:
    sling = SLING | {"scheme": "european"}
    no_angle = "no angle is said: the rating named here is for 45 degrees to the vertical"
    assert said(sling, 9000.0, meant=4250).note == f"so it was; {no_angle}"
    open_ = sling | {"angle_if_vertical_deg": 60.0, "angle_if_horizontal_deg": 30.0}
    assert said(open_, 9000.0).note == (
        "the line its angle counts from is not said: the rating named here is for 60 degrees to the vertical"
    )
    assert said(sling | {"angle_to_deg": 45.0}, 9000.0).note is None
    assert said(sling | {"legs": 1}, 9000.0).note is None
    assert said(TEN | {"scheme": "european"}, 9000.0).note is None


def test_a_grab_hook_without_word_of_a_cradle_says_that_the_rating_is_for_one(said: Any) -> None:
    words = "no cradle is said: the rating named here is for a hook with one"
    hook = GRAB | {"scheme": "european"}
    assert said(hook, 9000.0, meant=3150).note == f"so it was; {words}"
    assert said(hook | {"cradle": "yes"}, 9000.0, meant=3150).note == "so it was"
    assert words not in (said(hook | {"cradle": "no"}, 9000.0).note or "")
    # the lowest of a hook that may have none: no hook with a cradle is named
    assert said(hook, 9000.0).note is None and said(hook, 9000.0).expected == "2,520 kg"


def test_an_american_hook_has_a_least_rating_and_the_note_says_so(said: Any) -> None:
    # 29 CFR 1910.184(e)(2)(i): at least the rating of the chain; no table rates the hook itself
    hook = {"kind": "hook", "grade": 80, "size_mm": 10.0, "scheme": "us-chain"}
    least = "no table rates the hook itself"
    above = said(hook, 9000.0, meant=3200)
    assert above.note.startswith("so it was; ") and least in above.note
    assert least in said(hook, 4000.0, meant=3200).note
    assert least not in (said(hook, 900.0, meant=3200).note or "")
    assert least in said(hook, 900.0).note  # nothing explains it: what the table says beside it
    chain = said(TEN | {"scheme": "us-chain"}, 9000.0, meant=3200)
    assert chain.note == "so it was"
    european = said(hook | {"scheme": "european"}, 9000.0, meant=3150)
    assert european.note == "so it was"


def test_a_grab_hook_with_no_word_of_a_cradle_says_for_which_its_figure_is() -> None:
    report = checked_row("Grab hook", "8000")
    assert report.findings["note"].str.contains("no cradle is said").any()
    assert (
        not checked_row("Grab hook with cradle", "8000")
        .findings["note"]
        .str.contains("no cradle is said", na=False)
        .any()
    )
