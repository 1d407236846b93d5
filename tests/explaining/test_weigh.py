"""How causes are weighed over a whole list: by how common they are, in the list and in its groups."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from cause_items import item
from tallyhook.explaining.candidates import Candidate, Knowledge
from tallyhook.explaining.mistakes import Prediction
from tallyhook.explaining.weigh import Verdict, weigh

POUNDS, FORCE, SIZE = "pounds-as-kilograms", "breaking-force-as-wll", "neighbouring-size"
RARE = "heat-factor-included"


@pytest.fixture
def judged(known: Knowledge) -> Any:
    """Weigh rows of (cause -> likelihood), in groups; every row is another case."""
    chain = item(kind="chain", grade=80, size_mm=10.0, scheme="european", wll_unit="kg")
    (own,) = known.series.own(chain)

    def weighed(
        *rows: dict[str, float],
        groups: Sequence[Sequence[str]] | None = None,
        times: Sequence[int] | None = None,
        value: float = 31234.0,
    ) -> list[Verdict]:
        found = {
            n: [
                Candidate(
                    cause=known.causes.by_name[name],
                    likelihood=chance,
                    prediction=Prediction(kg=1.0, meant=own, share=1.0, how=name),
                )
                for name, chance in row.items()
            ]
            for n, row in enumerate(rows)
        }
        labels = groups or [("column",)] * len(rows)
        listed = [(n, chain | {"wll_value": value}, labels[n]) for n in found]
        return weigh(listed, found, known.causes, times)

    return weighed


def _shares(verdict: Verdict) -> dict[str, float]:
    return dict(verdict.causes)


def test_the_chances_of_a_row_add_up_and_the_likeliest_comes_first(judged: Any) -> None:
    (verdict,) = judged({POUNDS: 0.5, FORCE: 0.1})
    shares = [share for _, share in verdict.causes]
    assert sum(shares) == pytest.approx(1, abs=0.01)
    assert shares == sorted(shares, reverse=True)
    assert verdict.cause == POUNDS and verdict.prediction.how == POUNDS


def test_of_two_causes_that_fit_alike_the_commoner_is_likelier(
    judged: Any, known: Knowledge
) -> None:
    (verdict,) = judged({SIZE: 0.1, RARE: 0.1})
    assert verdict.cause == SIZE
    priors = known.causes.by_name
    # the root of the ratio of the priors, a little more for the row itself being counted
    ratio = _shares(verdict)[SIZE] / _shares(verdict)[RARE]
    least = (priors[SIZE].prior / priors[RARE].prior) ** (1 / 1.5)
    assert least < ratio < 1.3 * least


def test_two_causes_that_fit_alike_and_are_as_common_are_shown_alike(judged: Any) -> None:
    # neighbouring size and pounds have one prior
    (verdict,) = judged({SIZE: 0.1, POUNDS: 0.1})
    assert _shares(verdict)[SIZE] == pytest.approx(_shares(verdict)[POUNDS])
    assert verdict.cause == SIZE  # by name
    assert verdict.others == (POUNDS,)
    assert 0.4 < verdict.confidence < 0.5


def test_a_number_that_fits_nothing_is_unexplained(judged: Any) -> None:
    (verdict,) = judged({})
    assert (verdict.cause, verdict.confidence, verdict.prediction) == ("unexplained", None, None)
    assert verdict.others == ()
    assert verdict.causes == (("unexplained", 1.0),)


def test_a_round_number_needs_a_better_reason_than_one_of_many_figures(judged: Any) -> None:
    (odd,) = judged({RARE: 1e-4}, value=31234.0)
    (round_one,) = judged({RARE: 1e-4}, value=30000.0)
    assert (odd.cause, round_one.cause) == (RARE, "unexplained")
    assert round_one.others == ()  # too unlikely to be shown


def test_no_one_is_surer_than_ninety_nine_in_a_hundred(judged: Any) -> None:
    (verdict,) = judged({POUNDS: 1.0})
    assert verdict.confidence == 0.99
    assert verdict.causes[0][1] > 0.99
    assert all(share > 1e-3 for _, share in verdict.causes)


def test_two_mistakes_in_one_number_are_a_guess() -> None:
    both = Verdict(causes=((f"{POUNDS} and {SIZE}", 0.9),), unexplained="none", prediction=None)
    assert both.confidence == 0.5
    less = Verdict(causes=((f"{POUNDS} and {SIZE}", 0.3),), unexplained="none", prediction=None)
    assert less.confidence == 0.3


def test_another_cause_is_shown_from_four_in_a_hundred_on() -> None:
    causes = (("a", 0.6), ("b", 0.05), ("c", 0.04), ("d", 0.039), ("none", 0.2))
    verdict = Verdict(causes=causes, unexplained="none", prediction=None)
    assert verdict.others == ("b", "c")
    assert verdict.confidence == 0.6


# --- the list ---


def test_a_mistake_that_many_rows_have_is_likelier_in_the_next(judged: Any) -> None:
    either = {SIZE: 0.1, POUNDS: 0.1}
    alone = judged(either)[0]
    with_others = judged(*[{POUNDS: 0.1}] * 9, either)[-1]
    assert alone.cause == SIZE and with_others.cause == POUNDS
    assert _shares(with_others)[POUNDS] > _shares(alone)[POUNDS] + 0.05
    # nine rows of an item count as nine
    counted = judged({POUNDS: 0.1}, either, times=[9, 1])[-1]
    assert _shares(counted)[POUNDS] == pytest.approx(_shares(with_others)[POUNDS], rel=1e-3)
    twice = judged({POUNDS: 0.1}, either)[-1]
    assert _shares(twice)[POUNDS] < _shares(counted)[POUNDS]


def test_a_mistake_of_one_group_is_likelier_there_than_in_another(judged: Any) -> None:
    either = {SIZE: 0.1, POUNDS: 0.1}
    rows = [*[{POUNDS: 0.1}] * 6, *[{SIZE: 0.1}] * 6, either, either, either]
    groups = [*[("A",)] * 6, *[("B",)] * 6, ("A",), ("B",), ("C",)]
    of_a, of_b, of_c = judged(*rows, groups=groups)[-3:]
    assert (of_a.cause, of_b.cause) == (POUNDS, SIZE)
    assert _shares(of_a)[POUNDS] > 0.6
    assert _shares(of_b)[POUNDS] < 0.4
    assert 0.4 < _shares(of_c)[POUNDS] < 0.6


def test_two_groups_of_a_row_are_averaged(judged: Any) -> None:
    either = {SIZE: 0.1, POUNDS: 0.1}
    rows = [*[{POUNDS: 0.1}] * 8, *[{SIZE: 0.1}] * 8, either, either]
    groups = [*[("A",)] * 8, *[("B",)] * 8, ("A",), ("A", "B")]
    one, both = judged(*rows, groups=groups)[-2:]
    assert _shares(one)[POUNDS] > _shares(both)[POUNDS]
    # the same group twice is the group
    groups[-1] = ("A", "A2")
    groups[:8] = [("A", "A2")] * 8
    groups[-2] = ("A", "A2")
    twice, again = judged(*rows, groups=groups)[-2:]
    assert _shares(twice)[POUNDS] == pytest.approx(_shares(again)[POUNDS])


def test_that_many_rows_have_no_reason_makes_none_likelier(judged: Any) -> None:
    row = {RARE: 1e-5}
    among = judged(*[{}] * 30, row)[-1]
    # thirty rows without a reason are no habit: the one that has one keeps it
    assert among.others == (RARE,) and _shares(among)["unexplained"] < 0.9


def test_rows_without_a_group_are_weighed_by_the_list(judged: Any) -> None:
    verdicts = judged({POUNDS: 0.1}, {POUNDS: 0.1}, groups=[(), ()])
    assert [v.cause for v in verdicts] == [POUNDS, POUNDS]


def test_as_many_verdicts_as_rows_in_their_order(judged: Any) -> None:
    verdicts = judged({POUNDS: 0.1}, {}, {FORCE: 0.2})
    assert [v.cause for v in verdicts] == [POUNDS, "unexplained", FORCE]
