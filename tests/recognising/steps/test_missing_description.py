"""A column of types holds whole texts: it is the description that is missing."""

from __future__ import annotations

from column_evidence import Evidence, roles
from tallyhook.recognising.steps.missing_description import missing_description

TEXTS = ("grab hook 3/8 in grade 80", "chain 10 mm grade 100", "sling hook 13 mm, latch")


def test_whole_texts_describe_the_item() -> None:
    given = Evidence(("Type", TEXTS)).known(0, "kind")
    (column,) = missing_description(given.columns, given.table)
    assert column.role == "description"
    assert column.why == "said before, and its cells describe the whole item"


def test_short_words_do_not() -> None:
    given = Evidence(("Type", ("grab hook", "chain", "sling hook"))).known(0, "kind")
    assert roles(missing_description(given.columns, given.table)) == ["kind"]


def test_there_is_a_description_or_the_user_named_the_column() -> None:
    given = Evidence(("Type", TEXTS), ("Text", TEXTS)).known(0, "kind").known(1, "description")
    assert roles(missing_description(given.columns, given.table)) == ["kind", "description"]
    named = Evidence(("Type", TEXTS)).known(0, "kind", named=True)
    assert roles(missing_description(named.columns, named.table)) == ["kind"]


def test_texts_with_a_size_or_of_four_words_are_whole() -> None:
    for texts in (
        ("grab hook 3/8", "sling hook 1/2"),
        ("forged alloy grab hook", "long link chain black"),
    ):
        given = Evidence(("Type", texts)).known(0, "form")
        assert roles(missing_description(given.columns, given.table)) == ["description"]
