"""How a document is named to a person, and how a value is known."""

from __future__ import annotations

import re

from tallyhook.messages import to_say
from tallyhook.packages.package import built_in_packages

__all__ = ["UNVERIFIED", "as_clause", "document", "short"]

UNVERIFIED = to_say("UNVERIFIED, from memory")
"""What stands beside a value that is known by memory alone."""

_UNNAMED = ("common-practice", "single-page-practice", "recalled")
"""Sources that are no document: their titles are words, written in a sentence like any other."""


def document(source: str) -> str:
    """Give the title of a document by its slug."""
    rows = built_in_packages()["sources"]["documents"]
    titles = dict(zip(rows["source"], rows["title"], strict=True))
    return str(titles.get(source, source))


def short(source: str) -> str:
    """Give what people call a document: its title up to the first comma or colon.

    Examples
    --------
    >>> short("en-818-6"), short("common-practice")
    ('EN 818-6', 'common practice of the trade')
    """
    name = re.split(r"[,:] ", document(source))[0]
    proper = any(c.isdigit() for c in name) or source not in _UNNAMED
    return name if proper else name[:1].lower() + name[1:]


def as_clause(text: str) -> str:
    """Give a sentence of a table as a clause of another sentence.

    Examples
    --------
    >>> as_clause("Two legs must be able to carry the whole load.")
    'two legs must be able to carry the whole load'
    """
    return text.rstrip(".").lower()
