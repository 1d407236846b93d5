"""The rows of the packages that a job of use is worked out with."""

from __future__ import annotations

import pytest

from tallyhook.use.families import in_range, records


# the form of a range in the tables: `true` and `false` say of an end whether it belongs to it
@pytest.mark.parametrize(
    ("start", "first", "end", "last", "inside", "outside"),
    [
        (1, False, 2, True, (1.01, 1.5, 2), (0.5, 1, 2.01)),
        (1, True, 2, False, (1, 1.5, 1.99), (0.99, 2, 3)),
        # one temperature and no other: both ends belong to it
        (204, True, 204, True, (204,), (203, 205)),
        # an end that is missing is open, and nobody says whether it belongs to the range
        (2, False, None, None, (2.01, 1000), (1, 2)),
        (None, None, 260, True, (-300, 260), (261,)),
        # nobody says: the end is not taken for one that belongs to it
        (1, None, 2, None, (1.5,), (1, 2)),
    ],
)  # fmt: skip
def test_a_value_lies_in_a_range_as_its_ends_say(
    start: float | None,
    first: bool | None,
    end: float | None,
    last: bool | None,
    inside: tuple[float, ...],
    outside: tuple[float, ...],
) -> None:
    row = {"low": start, "from_included": first, "high": end, "to_included": last}
    assert [v for v in (*inside, *outside) if in_range(v, row, "low", "high")] == list(inside)


# ASME B30.9, table 9-1.8.1-1, grade 80: nothing below 400 degF, 10 percent at it, 15 above
@pytest.mark.parametrize(("celsius", "left"), [(203, 1), (204, 0.9), (205, 0.85)])
def test_one_row_of_the_heat_table_is_met(celsius: float, left: float) -> None:
    rows = records("use", "heat-factors", source="asme-b30-9", grade=80)
    low, high = "temperature_from_c", "temperature_to_c"
    met = [r["factor_while_hot"] for r in rows if in_range(celsius, r, low, high)]
    assert met == [left]
