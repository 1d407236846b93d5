"""Items as the causes of a wrong number look at them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from tallyhook.explaining.candidates import PART_COLUMNS

Made = Callable[..., list[tuple[float, str]]]
"""Says what a mistake would leave in the list, in its own unit, with the words for it."""


def item(**fields: Any) -> dict[str, Any]:
    """An item with everything that causes look at; what is not said is None."""
    return dict.fromkeys((*PART_COLUMNS, "wll_kg", "wll2_kg", "breaking_kn", "proof_kn")) | fields
