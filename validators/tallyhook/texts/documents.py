"""The numbers of standards, which are no sizes, grades or loads."""

from __future__ import annotations

from tallyhook.texts.scan import Scan
from tallyhook.vocabulary.context import words_for
from tallyhook.vocabulary.tokens import MARK, NUMBER, WORD

__all__ = ["claim_documents"]


def claim_documents(scan: Scan) -> None:
    """Claim the numbers of standards, so that "EN 818-2" holds no grade 8 and no size 2."""
    issuers = words_for("issuer")
    for i, token in enumerate(scan.tokens):
        if token.kind != WORD or token.fold not in issuers:
            continue
        if len(token.text) == 1 and not (scan.is_number(i + 1) and scan.adjacent(i + 1)):
            continue  # the B of B30.10, not that of M.B.F. 126
        k = i + 1
        while k < len(scan.tokens) and (
            scan.tokens[k].kind == NUMBER
            or scan.is_mark(k, "-.:/")
            or (
                scan.tokens[k].kind == WORD
                and (scan.tokens[k].fold in issuers or len(scan.tokens[k].text) == 1)
            )
        ):
            gap = not scan.adjacent(k)
            if (
                gap
                and scan.tokens[k].kind == NUMBER
                and any(scan.is_number(j) for j in range(i + 1, k))
            ):
                break
            if gap and scan.tokens[k].kind == MARK:
                break
            k += 1
        if any(scan.is_number(j) for j in range(i + 1, k)):
            scan.claim(i, k)
