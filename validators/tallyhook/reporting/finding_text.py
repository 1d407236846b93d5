"""A finding in words, made from its fields: for the terminal, the page, the workbook, JUnit."""

from __future__ import annotations

from typing import Any

from tallyhook.messages import say, to_say
from tallyhook.model.finding import ACCEPT, CORRECT
from tallyhook.reporting.titles import (
    cause_explanation,
    cause_title,
    rule_title,
    severity_title,
    source_title,
)
from tallyhook.wording import row_list, row_ranges, times_text

__all__ = [
    "TITLES",
    "acceptance",
    "case_lines",
    "comment_lines",
    "is_accepted",
    "likely_cause",
    "origin_lines",
    "place_on_screen",
    "row_numbers",
    "rows_of",
    "screen_lines",
    "source_of",
    "sure_percent",
    "where",
]

TITLES = {
    "severity": to_say("Severity"),
    "row": to_say("Row"),
    "sheet": to_say("Sheet"),
    "column": to_say("Column"),
    "item": to_say("Item"),
    "observed": to_say("Listed"),
    "expected": to_say("Expected"),
    "ratio": to_say("Times"),
    "cause": to_say("Likely cause"),
    "to_do": to_say("What to do"),
    "source": to_say("Source"),
    "note": to_say("Note"),
    "rule": to_say("Rule"),
    "because": to_say("Because"),
    "who": to_say("Accepted by"),
    "date": to_say("Date"),
    "expires": to_say("Expires"),
    "why": to_say("Why"),
    "document": to_say("Document"),
    "unread": to_say("Not read"),
    "outcome": to_say("Outcome"),
    "part": to_say("Part number"),
    "kind": to_say("Kind"),
    "size_mm": to_say("Size [mm]"),
    "grade": to_say("Grade"),
    "legs": to_say("Legs"),
    "wll_kg": to_say("WLL [kg]"),
    "rating_id": to_say("Agrees with the rating"),
    "rating_known_by": to_say("That rating is known by"),
}
"""What stands over each field of a finding, of a decision on it, and of an item, in a table."""

_MOST_RANGES = 400  # letters of the rows of one finding that a comment has room for


def is_accepted(finding: dict[str, Any]) -> bool:
    """Whether a decision has accepted a finding."""
    return bool(finding["decision"]) and finding["decision"]["decision"] == ACCEPT


def rows_of(finding: dict[str, Any]) -> list[int]:
    """List the rows that a finding is about."""
    if finding["rows"]:
        return list(finding["rows"])
    return [] if finding["row"] is None else [finding["row"]]


def where(finding: dict[str, Any]) -> str:
    """Say where a finding is: its row or rows, or its file."""
    if finding["rows"]:
        return say("rows {rows}", rows=row_list(finding["rows"]))
    if finding["row"] is not None:
        return say("row {row}", row=finding["row"])
    return str(finding["file"] or "")


def row_numbers(finding: dict[str, Any]) -> str:
    """Write the rows of a finding as ranges; a dash when it has none."""
    return row_ranges(rows_of(finding)) or "-"


def sure_percent(finding: dict[str, Any]) -> int | None:
    """Give how sure the likely cause is [percent]."""
    sure = finding["confidence"]
    return None if sure is None else round(100 * sure)


def source_of(finding: dict[str, Any]) -> str:
    """Name the document of a finding and the place in it."""
    return "; ".join(p for p in (source_title(finding["source"]), finding["locator"]) if p)


def likely_cause(finding: dict[str, Any]) -> str:
    """Say the likely cause in one cell: its title, how sure it is, and what else it may be."""
    sure = sure_percent(finding)
    parts = [cause_title(finding["cause"])] if finding["cause"] else []
    parts += [say("{percent} % sure", percent=sure)] if sure is not None else []
    others = [cause_title(c) for c in finding["other_causes"] or []]
    return "; ".join([*parts, *(say("or: {cause}", cause=other) for other in others)])


def place_on_screen(finding: dict[str, Any]) -> str:
    """Say where a finding is, and on which sheet of a list that has several."""
    place = where(finding)
    if not finding["sheet"]:
        return place
    return say("{rows} of {sheet}", rows=place, sheet=finding["sheet"])


def screen_lines(finding: dict[str, Any]) -> list[str]:
    """Write what a finding says for a terminal."""
    lines = [_numbers(finding)]
    if finding["cause"]:
        title = cause_title(finding["cause"])
        sure = sure_percent(finding)
        lines.append(
            say("likely cause: {cause}", cause=title)
            if sure is None
            else say("likely cause: {cause}, {percent} % sure", cause=title, percent=sure)
        )
    if finding["other_causes"]:
        others = "; ".join(cause_title(c) for c in finding["other_causes"])
        lines.append(say("or: {cause}", cause=others))
    if finding["note"]:
        lines.append(finding["note"])
    return [*lines, *_decided(finding)]


def _decided(finding: dict[str, Any]) -> list[str]:
    """Say what somebody has decided on it: that it is accepted, or that the list is corrected."""
    decision = finding["decision"]
    if not decision:
        return []
    parts = {"how": acceptance(finding), "document": decision["document"]}
    if decision["decision"] == CORRECT:
        return [say("to be corrected, {how}", **parts)]
    if decision["document"]:
        return [say("accepted {how} ({document})", **parts)]
    return [say("accepted {how}", **parts)]


def origin_lines(finding: dict[str, Any]) -> list[str]:
    """Write which document and which rule a finding is from, for a terminal."""
    lines = []
    if finding["source"]:
        title, locator = source_title(finding["source"]), finding["locator"]
        named = f"{title}, {locator}" if locator else title
        lines.append(say("source: {source}", source=named))
    return [*lines, say("rule: {rule}", rule=finding["rule"])]


def _numbers(finding: dict[str, Any]) -> str:
    parts = {name: finding[name] for name in ("column", "observed", "expected")}
    if not finding["ratio"]:
        return say("{column}: {observed}; expected {expected}", **parts)
    ratio = times_text(finding["ratio"])
    return say("{column}: {observed}; expected {expected} ({ratio} times)", ratio=ratio, **parts)


def case_lines(finding: dict[str, Any]) -> list[str]:
    """Write a finding for a build server."""
    severity, title = severity_title(finding["severity"]), rule_title(finding["rule"])
    lines = [f"{severity}: {title}"]
    if finding["rows"]:
        lines.append(say("rows {rows}", rows=row_ranges(finding["rows"])))
    lines.append(
        say(
            "{column}: {observed}; expected {expected}",
            column=finding["column"],
            observed=finding["observed"],
            expected=finding["expected"],
        )
    )
    if finding["cause"]:
        lines.append(say("likely cause: {cause}", cause=cause_title(finding["cause"])))
    if finding["note"]:
        lines.append(finding["note"])
    if finding["source"]:
        named = f"{source_title(finding['source'])}; {finding['locator'] or ''}"
        lines.append(say("source: {source}", source=named))
    return [*lines, *_decided(finding)]


def comment_lines(finding: dict[str, Any]) -> list[str]:
    """Write a finding for the comment of a cell."""
    severity, title = severity_title(finding["severity"]), rule_title(finding["rule"])
    lines = [say("ACCEPTED")] if is_accepted(finding) else []
    lines.append(f"{severity.upper()}: {title}")
    if finding["rows"]:
        rows = row_ranges(finding["rows"])
        shown = rows if len(rows) < _MOST_RANGES else f"{rows[:_MOST_RANGES]} ..."
        lines.append(say("One mistake in rows {rows}", rows=shown))
    lines.append(say("Listed: {observed}", observed=finding["observed"] or ""))
    lines.append(say("Expected: {expected}", expected=finding["expected"] or ""))
    if finding["cause"]:
        cause = finding["cause"]
        title, explanation = cause_title(cause), cause_explanation(cause)
        lines.append(
            say("Likely cause: {cause}. {explanation}", cause=title, explanation=explanation)
        )
    if finding["note"]:
        lines.append(say("Note: {note}", note=finding["note"]))
    if finding["source"]:
        lines.append(say("Source: {source}", source=source_of(finding)))
    return [*lines, *_decided(finding)]


def acceptance(finding: dict[str, Any]) -> str:
    """Say who decided on a finding, when, until when and why; its document is not named here."""
    parts = {name: finding["decision"][name] for name in ("who", "date", "expires", "why")}
    if parts["expires"]:
        return say("by {who} on {date}, until {expires}: {why}", **parts)
    return say("by {who} on {date}: {why}", **parts)
