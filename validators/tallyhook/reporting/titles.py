"""What people call a cause, a document, a rule, a severity: titles in place of their slugs."""

from __future__ import annotations

from functools import cache
from typing import Any

from tallyhook.errors import TallyhookError
from tallyhook.messages import say, to_say
from tallyhook.packages.package import built_in_packages
from tallyhook.rules import all_rules, rule_named

__all__ = [
    "OUTCOMES",
    "cause_explanation",
    "cause_title",
    "outcome_title",
    "rule_title",
    "severity_title",
    "source_address",
    "source_title",
    "to_do",
    "to_do_with_these",
]

_TO_DO = {
    "danger": to_say("take off the list until corrected"),
    "error": to_say("correct"),
    "warning": to_say("have a person look"),
    "note": to_say("know"),
}
_TO_DO_WITH_THESE = {
    "danger": to_say("take these off the list until they are corrected"),
    "error": to_say("correct these"),
    "warning": to_say("have a person look at these"),
    "note": to_say("know these"),
}
_SEVERITIES = (to_say("danger"), to_say("error"), to_say("warning"), to_say("note"))
OUTCOMES = (to_say("agree"), to_say("contradicted"), to_say("not compared"))


@cache  # as they stand in the tables: a reader's language comes later
def _rows(package: str, table: str, key: str) -> dict[str, dict[str, Any]]:
    return {row[key]: row for row in built_in_packages()[package][table].iter_rows(named=True)}


def severity_title(severity: str) -> str:
    """Give the word for a severity: one of `tallyhook.model.finding.SEVERITIES`."""
    assert severity in _SEVERITIES
    return say(severity)


def outcome_title(outcome: str) -> str:
    """Give the word for an outcome: agree, contradicted or not compared."""
    assert outcome in OUTCOMES
    return say(outcome)


def to_do(severity: str) -> str:
    """Say what a reader does about a finding of a severity."""
    return say(_TO_DO[severity])


def to_do_with_these(severity: str) -> str:
    """Say what a reader does about all findings of a severity."""
    return say(_TO_DO_WITH_THESE[severity])


def cause_title(cause: str | None) -> str:
    """Give a cause's title; two causes joined by " and " give two titles."""
    known = _rows("vocabulary", "causes", "cause")
    titles = [say(known[p]["title"]) if p in known else p for p in (cause or "").split(" and ")]
    if len(titles) == 1:
        return titles[0]
    first, *others = titles
    for other in others:
        first = say("{first}, and {other}", first=first, other=other)
    return first


def cause_explanation(cause: str | None) -> str:
    """Say what a cause is and what to do about it; empty for one that is not in the vocabulary."""
    known = _rows("vocabulary", "causes", "cause")
    return " ".join(
        say(known[p]["explanation"]) for p in (cause or "").split(" and ") if p in known
    )


def source_title(source: str | None) -> str:
    """Give a document's title, or say which table of ours ``package.table`` is."""
    known = _rows("sources", "documents", "source")
    if not source or source in known:
        return str(known[source]["title"]) if source else ""
    package, dot, table = source.partition(".")
    if dot and package in built_in_packages():
        return say("table {table} of the package {package}", table=table, package=package)
    return source


def source_address(source: str | None) -> str:
    """Give the web address a document was read at; empty when there is none."""
    known = _rows("sources", "documents", "source")
    address = str(known[source]["address"]) if source in known else ""
    return address if address.startswith(("https://", "http://")) else ""


def rule_title(rule: str) -> str:
    """Give the first sentence of a rule's page; a rule that is not ours is named as it is."""
    for each in all_rules("decision"):
        if each.name == rule:
            return say(each.title)
    try:
        return say(rule_named(rule).title)
    except TallyhookError:
        return rule
