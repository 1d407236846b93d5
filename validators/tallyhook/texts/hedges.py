"""Cells that say a thing and take it back: "70?", "~45", "not G80", "approx. 2"."""

from __future__ import annotations

from tallyhook.texts.scan import Scan
from tallyhook.vocabulary.context import words_for
from tallyhook.vocabulary.tokens import MARK

__all__ = ["hedged"]

_DOUBT = "?≈±!$€£%"


def hedged(scan: Scan) -> bool:
    """Tell whether a cell doubts or denies what it says, so that it says no one thing.

    A swung dash between two numbers joins them; anywhere else it says "about".
    """
    tokens = scan.tokens
    for i, token in enumerate(tokens):
        if token.kind != MARK:
            continue
        if token.text in _DOUBT:
            return True
        if token.text == "~" and not (scan.is_number(i - 1) and scan.is_number(i + 1)):
            return True
    if any(token.fold in words_for("about") for token in tokens):
        return True
    return bool(tokens) and scan.denials.inside(0, len(tokens))
