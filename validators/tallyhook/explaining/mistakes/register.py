"""Predictions, and the functions that make them by the name of their cause."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from tallyhook.explaining.facts import TradeFacts
from tallyhook.explaining.series import RatingSeries
from tallyhook.matching.claims import Item, Rating

__all__ = ["PREDICTED", "SLIPS", "Edit", "Prediction", "Slip", "mistake", "scaled", "slip"]


class Prediction(NamedTuple):  # made by the ten thousand: a frozen dataclass takes twice as long
    """A load that a mistake would leave [kg], and the rating it should have been.

    `exact` means that the mistake acts on the written digits: the number matches exactly or not
    at all. `how` is a clause for the reader, such as *the rating of 13 mm*.
    """

    kg: float
    meant: Rating
    share: float
    how: str = ""
    exact: bool = False


Predict = Callable[[Item, RatingSeries, TradeFacts], Iterator[Prediction]]
Edit = Callable[[str], dict[str, float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """A slip of the hand: what it makes of digits, and how many places of them it can touch.

    `reach` counts digits other than zero. `how` is the clause for the reader, a message with
    ``{meant}`` in it.
    """

    edit: Edit
    reach: int
    how: str


PREDICTED: dict[str, Predict] = {}
"""Every cause but the slips of the hand."""

SLIPS: dict[str, Slip] = {}


def mistake(name: str) -> Callable[[Predict], Predict]:
    """Mark a function as what predicts the numbers of a cause."""

    def add(function: Predict) -> Predict:
        PREDICTED[name] = function
        return function

    return add


def slip(name: str, *, reach: int, how: str) -> Callable[[Edit], Edit]:
    """Mark a function of digits as what a slip of the hand makes of them, with their shares."""

    def add(function: Edit) -> Edit:
        SLIPS[name] = Slip(edit=function, reach=reach, how=how)
        return function

    return add


def scaled(
    item: Item, series: RatingSeries, *turns: tuple[float, float, str]
) -> Iterator[Prediction]:
    """Predict so many times the ratings that an item may claim: (times, share, how)."""
    for rating in series.own(item):
        for times, share, how in turns:
            yield Prediction(kg=rating.kg * times, meant=rating, share=share, how=how)
