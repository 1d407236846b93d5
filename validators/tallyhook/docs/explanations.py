"""The pages of rules, causes and sources, for ``explain`` and for docs/rules/."""

from __future__ import annotations

import re
from typing import Any

from tallyhook.errors import TallyhookError
from tallyhook.packages.package import built_in_packages
from tallyhook.rules import Rule, all_rules
from tallyhook.wording import wrapped

__all__ = ["KINDS", "index_text", "on_terminal", "page_text", "rule_page"]


KINDS = (
    ("stock", "Rules on stock lists"),
    ("package", "Rules on rating packages"),
    ("decision", "Rules on decisions"),
)
"""The kinds of rules, with the heading of their list."""

_RECORD = re.compile(r"[a-z_]+: ")


def index_text() -> str:
    """List every rule, cause and source, a line each."""
    lines = []
    for kind, heading in KINDS:
        lines += ["", heading, *(f"  {r.name} ({r.severity}): {r.title}" for r in all_rules(kind))]
    packages = built_in_packages()
    lines += ["", "Causes"]
    lines += [
        f"  {row['cause']}: {row['title']}"
        for row in packages["vocabulary"]["causes"].iter_rows(named=True)
    ]
    lines += ["", "Sources"]
    lines += [
        f"  {row['source']}: {row['title']}"
        for row in packages["sources"]["documents"].iter_rows(named=True)
    ]
    return "\n".join(lines[1:]) + "\n"


def page_text(name: str) -> str:
    """Give the page of a rule, a cause or a source.

    Raises
    ------
    TallyhookError
        There is nothing of that name.
    """
    for each in (*all_rules("stock"), *all_rules("package"), *all_rules("decision")):
        if each.name == name:
            return rule_page(each)
    packages = built_in_packages()
    for table, key in (("vocabulary.causes", "cause"), ("sources.documents", "source")):
        package, resource = table.split(".")
        for row in packages[package][resource].iter_rows(named=True):
            if row[key] == name:
                return _record(row)
    raise TallyhookError(
        f"there is no rule, cause or source '{name}'", next_step="'tallyhook explain' lists them"
    )


def on_terminal(text: str) -> str:
    """Wrap a page or a list to the terminal; tables and headings stay as they are."""
    lines: list[str] = []
    paragraph: list[str] = []

    def close() -> None:
        if paragraph:
            lines.extend(wrapped(" ".join(paragraph), first="", indent=2 * _listed(paragraph[0])))
            paragraph.clear()

    for line in text.splitlines():
        alone = not line or line[0] in "#|" or line[0].isspace() or _RECORD.match(line) is not None
        if alone or _listed(line):
            close()
        if alone and line and line[0] not in "#|":
            lead = line[: len(line) - len(line.lstrip())]
            lines += wrapped(line.strip(), first=lead, indent=len(lead) + 2)
        elif alone:
            lines.append(line)
        else:
            paragraph.append(line)
    close()
    return "\n".join(lines) + "\n"


def _listed(line: str) -> bool:
    return line.startswith("- ")


def rule_page(rule: Rule) -> str:
    """Write a rule's page as Markdown."""
    parts = [
        f"# {rule.name}",
        "",
        rule.title,
        "",
        f"Severity: {rule.severity}. Since {rule.since}.",
    ]
    for heading, text in rule.sections.items():
        parts += ["", f"## {heading}", text]
    return "\n".join(parts) + "\n"


def _record(row: dict[str, Any]) -> str:
    return "".join(f"{key}: {value}\n" for key, value in row.items() if value not in (None, ""))
