"""What a contradicted load should have been: the rating to show, and what to say beside it."""

from __future__ import annotations

from typing import NamedTuple

from tallyhook.explaining.series import RatingSeries, table_unit
from tallyhook.explaining.weigh import Verdict
from tallyhook.matching.claims import Item, Rating, angles_read, holds_in_every_reading
from tallyhook.messages import say
from tallyhook.wording import number_text, rating_text

__all__ = ["Explanation", "explanation"]

_AMERICAN, _METRIC = "us-chain", "european"


class Explanation(NamedTuple):  # made by the ten thousand, and put into a frame as it is
    """What is said of a contradicted load, named as the fields of a finding."""

    cause: str
    confidence: float | None
    other_causes: list[str]
    expected: str
    expected_kg: float
    rating_id: str | None
    ratio: float
    source: str
    locator: str
    note: str | None


def explanation(
    verdict: Verdict, item: Item, series: RatingSeries, followed: str | None
) -> Explanation:
    """Say what a load should have been and why it is not.

    Parameters
    ----------
    verdict : Verdict
        The causes of the load.
    item : mapping
        The contradicted item.
    series : RatingSeries
        The ratings it may claim.
    followed : str or None
        The scheme that the list follows.
    """
    meant = verdict.prediction.meant if verdict.prediction else None
    rating = _rating_to_show(meant, item, series, followed)
    shown = series.in_unit(rating, item["wll_unit"])
    ratio = item["wll_kg"] / shown.kg
    return Explanation(
        cause=verdict.cause,
        confidence=None if verdict.confidence is None else round(verdict.confidence, 3),
        other_causes=list(verdict.others),
        expected=rating_text(shown.value, shown.unit, item["wll_unit"]),
        expected_kg=shown.kg,
        rating_id=shown.rating_id,
        ratio=ratio,
        source=shown.source,
        locator=shown.locator,
        note="; ".join(filter(None, _notes(verdict, item, shown, ratio))) or None,
    )


def _rating_to_show(
    meant: Rating | None, item: Item, series: RatingSeries, followed: str | None
) -> Rating:
    """The rating to show as expected: of the scheme that the row or else the list claims.

    Where none is claimed it is the lowest that the item could be held against or, with a cause,
    of the system that the row names sizes in; where several would do then, a sling whose angle is
    not said, the one nearest to the load.
    """
    own = series.own(item)
    candidates: list[Rating] = [r for r in own if r.shown] or own
    # never the figure of the laxer reading of an angle
    candidates = [r for r in candidates if holds_in_every_reading(item, r)] or candidates
    if followed is None and item["size_in"] and table_unit(item["wll_unit"]) == "lb":
        followed = _AMERICAN  # nobody else names sizes in inches and loads in pounds
    claimed = [r for r in candidates if r.counts_as == followed]
    if meant is None:
        return min(claimed or candidates, key=lambda r: r.kg)
    metric = candidates[0].scheme == _METRIC
    system = [r for r in candidates if (r.scheme == _METRIC) == metric]
    nearest = max if item["wll_kg"] > meant.kg else min
    return nearest(claimed or system, key=lambda r: r.kg)


def _notes(verdict: Verdict, item: Item, shown: Rating, ratio: float) -> list[str | None]:
    notes = [verdict.prediction.how if verdict.prediction else None]
    # American law gives hooks no rating but a least one: the table's note says so
    least = item["kind"] == "hook" and shown.counts_as == _AMERICAN
    if verdict.confidence is None or (least and ratio > 1):
        notes.append(say(shown.note) if shown.note else None)
    if (shown.legs or 1) > 1 and item["angle_to_deg"] is None:
        angle = number_text(shown.angle_to_deg or 0)
        notes.append(
            say(
                "no angle is said: the rating named here is for {angle} degrees to the vertical",
                angle=angle,
            )
            if not angles_read(item)
            else say(
                "the line its angle counts from is not said: "
                "the rating named here is for {angle} degrees to the vertical",
                angle=angle,
            )
        )
    if item["cradle"] is None and shown.cradle == "yes":
        notes.append(say("no cradle is said: the rating named here is for a hook with one"))
    return notes
