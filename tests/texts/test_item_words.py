"""What the words of an item say to a rule: lifting, turning under load, a swivel."""

from __future__ import annotations

import polars as pl
import pytest

from tallyhook.texts.item_words import called_lifting, named_swivel, said_to_turn


def _asked(expression: pl.Expr, words: str | None) -> bool:
    frame = pl.DataFrame({"item": [words]}, schema={"item": pl.String})
    answer: bool = frame.select(expression.alias("answer"))["answer"].item()
    return answer


@pytest.mark.parametrize(
    ("words", "called"),
    [
        # common practice, no source: words by which shops sell chain for lifting
        ("Lifting chain 10 mm", True), ("Hebekette 10 mm", True), ("Chaîne de levage", True), ("Cadena de izaje", True),
        ("Chain, not for lifting", False), ("Chaîne, pas pour le levage", False), ("Transport chain", False), (None, False),
    ],
)  # fmt: skip
def test_a_thing_is_called_one_for_lifting(words: str | None, called: bool) -> None:
    assert _asked(called_lifting(), words) is called


@pytest.mark.parametrize(
    ("words", "turns"),
    [
        ("Hook, turns under load", True), ("Hook, swivels freely under full load", True), ("Wirbelhaken, unter Last drehbar", True), ("Crochet qui tourne sous charge", True), ("Gancho que gira bajo carga", True),
        ("Hook, does not turn under load", False), ("unter Last nicht drehbar", False), ("ne tourne pas sous charge", False), ("no gira bajo carga", False),
        ("Turns. Works under load", False), ("Hook, turns only when not under load", False), (None, False),
    ],
)  # fmt: skip
def test_a_hook_is_said_to_turn_under_load(words: str | None, turns: bool) -> None:
    assert _asked(said_to_turn(), words) is turns


@pytest.mark.parametrize(
    ("words", "named"),
    [("Swivel hook", True), ("Wirbelhaken", True), ("Crochet à émerillon", True), ("Hook without swivel", False), ("Haken ohne Wirbel", False), (None, False)],
)  # fmt: skip
def test_a_swivel_is_named(words: str | None, named: bool) -> None:
    assert _asked(named_swivel(where=pl.lit(True)), words) is named
    assert not _asked(named_swivel(where=pl.lit(False)), words)
