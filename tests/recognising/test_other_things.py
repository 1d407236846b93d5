"""A heading that speaks of a paint, a crane or an earlier rating is what it says."""

from __future__ import annotations

import pytest

from column_evidence import NUMBERS, Evidence, roles
from tallyhook.recognising.headings import join_readings, read_heading, served_by
from tallyhook.recognising.steps.by_heading import by_heading


# headings of a review of what passes unseen, and what they say in plain words
@pytest.mark.parametrize(
    ("heading", "holds"),
    [
        ("Paint grade", "another grade than the chain's"),
        ("Lackgüteklasse", "another grade than the chain's"),
        ("Classe de peinture", "another grade than the chain's"),
        ("Grado de pintura", "another grade than the chain's"),
        ("Crane capacity (t)", "another load than the rating"),
        ("Shelf load limit (kg)", "another load than the rating"),
        ("Krantragfähigkeit", "another load than the rating"),
        ("Capacité de la grue", "another load than the rating"),
        ("Capacidad de grúa", "another load than the rating"),
        ("Bolt size", "another size than the chain's"),
        ("Stock unit", "unit of sale"),
        ("Unit of sale", "unit of sale"),
        ("Verkaufseinheit", "unit of sale"),
        ("Previous WLL (lb)", "earlier value"),
        ("Old WLL of hook", "earlier value"),
        ("Tragfähigkeit alt (t)", "earlier value"),
        ("Ancienne CMU", "earlier value"),
        ("CMU anterior", "earlier value"),
        ("Required WLL", "wanted value"),
    ],
)
def test_what_is_of_something_else_is_not_read(heading: str, holds: str) -> None:
    reading = read_heading(heading)
    assert (reading.role(), reading.ignored) == ("ignore", holds)


@pytest.mark.parametrize(
    ("heading", "role"),
    [
        ("Crane hook capacity (t)", "wll"),
        ("Trailer hook WLL", "wll"),
        ("Chain grade", "grade"),
        ("Grade of chain", "grade"),
        ("New WLL", "wll"),
        ("Hakentragfähigkeit", "wll"),
        ("WLL Unit", "unit"),
        ("Chain size", "size"),
        ("Hoist capacity", "wll"),
        ("Transport grade", "grade"),
    ],
)
def test_what_is_of_the_goods_is_read(heading: str, role: str) -> None:
    assert read_heading(heading).role() == role


def test_the_word_may_stand_in_the_row_above() -> None:
    joined = join_readings("Previous", "WLL (kg)")
    assert (joined.role(), joined.ignored) == ("ignore", "earlier value")


def test_the_reason_is_told() -> None:
    given = Evidence(("Crane capacity", NUMBERS), ("Previous WLL", NUMBERS))
    crane, previous = by_heading(given.columns, given.table)
    assert roles((crane, previous)) == ["ignore", "ignore"]
    assert crane.why == "headed as another load than the rating"
    assert previous.why == "headed as an earlier value"


@pytest.mark.parametrize(
    ("heading", "role"),
    [
        ("WLL Unit", "wll"),
        ("Unit of WLL", "wll"),
        ("MBL unit", "breaking"),
        ("Size unit", "size"),
        ("Tragfähigkeit Einheit", "wll"),
        ("Unit", None),
        ("WLL", None),
    ],
)
def test_a_heading_says_whose_units_it_holds(heading: str, role: str | None) -> None:
    assert served_by(heading) == role
