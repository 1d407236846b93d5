"""What is typed after an option: names with values, lengths, loads, temperatures, places."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from tallyhook.cli import values
from tallyhook.errors import TallyhookError


@pytest.mark.parametrize(
    ("read", "text", "meant"),
    [
        (values.named_value, " throat = 38mm ", ("throat", "38mm")),
        (values.named_value, "a=b=c", ("a", "b=c")),
        (values.component, "name=hook,wll_kg=2000", {"name": "hook", "wll_kg": 2000.0}),
        (values.place, "-1,0,2.5", [-1.0, 0.0, 2.5]),
        (values.graded_size, "80, 3/8", ("80", "3/8")),
        (values.length, "1-3/8 in", 34.925),  # an inch is 25.4 mm
        (values.load, "2 t", 2000.0),
        (values.celsius, "482 F", 250.0),  # (482 - 32) / 1.8
        (values.celsius, "250 C", 250.0),
    ],
)
def test_what_is_typed_is_read(read: Callable[[str], Any], text: str, meant: object) -> None:
    assert read(text) == pytest.approx(meant) if isinstance(meant, float) else read(text) == meant


@pytest.mark.parametrize("read", [values.length, values.load, values.celsius, values.graded_size])
def test_what_is_not_typed_is_nothing(read: Callable[[str | None], Any]) -> None:
    assert read(None) is None


def test_a_temperature_keeps_its_scale() -> None:
    read = values.temperatures(temperature="480 F", exposed=None, other="-20 C")
    assert read == {"temperature_f": 480.0, "other_c": -20.0}


@pytest.mark.parametrize(
    ("read", "text", "sentence"),
    [
        (values.named_value, "throat", "'throat' is not NAME=VALUE; write it as name=value."),
        (values.named_value, "=38", "'=38' is not NAME=VALUE; write it as name=value."),
        (values.named_value, "throat= ", "'throat= ' is not NAME=VALUE; write it as name=value."),
        (values.graded_size, "80", "'80' is not GRADE,SIZE; write it as 80,3/8."),
        (values.place, "1,x", "'x' is not a number."),
        (values.component, "wll_kg=two", "'two' is not a number."),
    ],
)
def test_what_cannot_be_read_is_refused(
    read: Callable[[str], Any], text: str, sentence: str
) -> None:
    with pytest.raises(TallyhookError) as refused:
        read(text)
    assert str(refused.value) == sentence


def test_columns_and_conditions_say_their_own_form() -> None:
    assert values.column_headings(['wll="Cap."', "size=Dia"]) == {"wll": '"Cap."', "size": "Dia"}
    assert values.conditions(None) == {}
    with pytest.raises(TallyhookError, match="is not ROLE=HEADING"):
        values.column_headings(["wll"])
    with pytest.raises(TallyhookError, match="is not COLUMN=VALUE"):
        values.conditions(["grade"])
