"""The same list said in another way has the same outcome, row by row.

Hypothesis draws the lists of invented shops and the way; `scripts/relations` tries 20,000.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from random import Random

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from relations.outcomes import ratings_worked_out_once
from relations.run import DoesNotApply, compare, outcomes_of, silently
from relations.shops import draw_case
from relations.tables import written
from relations.ways import WAYS, Part

LISTS = 70
WAYS_EACH = 8
"""Ways tried with one list: 512 cases, a few less where a way has nothing to change."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    with ratings_worked_out_once():
        yield tmp_path_factory.mktemp("relations")


@settings(
    max_examples=LISTS,
    deadline=None,
    database=None,
    derandomize=True,
    phases=(Phase.explicit, Phase.generate, Phase.shrink),
    suppress_health_check=list(HealthCheck),
)
@given(random=st.randoms(use_true_random=False))
def test_a_list_said_in_another_way_says_the_same(random: Random, folder: Path) -> None:
    case = draw_case(random)
    table = written(case)
    before = outcomes_of([Part(table=table)], folder)
    assert not silently(case, before)
    for name in random.sample(list(WAYS), WAYS_EACH):
        with suppress(DoesNotApply):
            found = compare(case, WAYS[name], f"{case.seed}/{name}", folder, before)
            assert found is None, found.text
