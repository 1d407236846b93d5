"""Pages made of docstrings, descriptors and tables: one a rule, a cause, a source, a package."""

from __future__ import annotations

from typing import Any

from tallyhook.errors import TallyhookError
from tallyhook.messages import say, to_say
from tallyhook.packages.package import Package, built_in_packages
from tallyhook.reporting.titles import severity_title
from tallyhook.rules import Rule, all_rules

__all__ = ["RULE_KINDS", "index_text", "package_page", "page_text", "rule_list_page", "rule_page"]

RULE_KINDS = {
    "stock": to_say("Rules on stock lists"),
    "package": to_say("Rules on rating packages"),
    "decision": to_say("Rules on decisions"),
}
"""The heading above each kind of rules."""

_RECORDS = (
    (to_say("Causes"), "vocabulary", "causes", "cause"),
    (to_say("Sources"), "sources", "documents", "source"),
)
"""The tables whose rows have a page: heading, package, table, and the column of their names."""


def index_text() -> str:
    """List every rule, cause and source, a line each."""
    blocks = [
        [
            say(heading),
            *(
                f"  {r.name} ({severity_title(r.severity)}): {say(r.title)}"
                for r in all_rules(kind)
            ),
        ]
        for kind, heading in RULE_KINDS.items()
    ]
    packages = built_in_packages()
    for heading, package, table, key in _RECORDS:
        rows = packages[package][table].iter_rows(named=True)
        blocks.append([say(heading), *(f"  {row[key]}: {say(row['title'])}" for row in rows)])
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def page_text(name: str) -> str:
    """Give the page of a rule, a cause or a source.

    Raises
    ------
    TallyhookError
        There is nothing of that name.
    """
    for kind in RULE_KINDS:
        for rule in all_rules(kind):
            if rule.name == name:
                return rule_page(rule)
    packages = built_in_packages()
    for _, package, table, key in _RECORDS:
        for row in packages[package][table].iter_rows(named=True):
            if row[key] == name:
                return _record_page(row)
    raise TallyhookError(
        say("there is no rule, cause or source '{name}'", name=name),
        next_step=say("'tallyhook explain' lists them"),
    )


def rule_page(rule: Rule) -> str:
    """Write a rule's page as Markdown."""
    head = say(
        "Severity: {severity}. Since {version}.",
        severity=severity_title(rule.severity),
        version=rule.since,
    )
    parts = [f"# {rule.name}", "", rule.title, "", head]
    for heading, text in rule.sections.items():
        parts += ["", f"## {heading}", text]
    return "\n".join(parts) + "\n"


def rule_list_page(kind: str) -> str:
    """Write the page that lists the rules of a kind, each with a link to its own."""
    lines = [f"# {say(RULE_KINDS[kind])}", ""]
    lines += [f"- [{r.name}]({r.name}.md) ({r.severity}): {r.title}" for r in all_rules(kind)]
    return "\n".join(lines) + "\n"


def package_page(package: Package) -> str:
    """Write a package's page from its descriptor: every table, every column with its unit."""
    head = package.descriptor
    lines = [
        f"# {package.name} {package.version}",
        "",
        str(head.get("title", "")),
        "",
        str(head.get("description", "")),
    ]
    for resource in package.canonical:
        rows = package[resource.name].height
        entry = resource.descriptor
        lines += [
            "",
            f"## {resource.name}",
            "",
            say(
                "{title}. {n} rows, key: {key}.",
                title=entry.get("title", ""),
                n=rows,
                key=", ".join(resource.key),
            ),
        ]
        if entry.get("description"):
            lines += ["", str(entry["description"])]
        heads = (say("column"), say("type"), say("unit"), say("meaning"))
        lines += ["", f"| {' | '.join(heads)} |", "| --- | --- | --- | --- |"]
        for name, field in resource.fields.items():
            meaning = field.get("description") or field.get("title", "")
            lines.append(
                f"| {name} | {field.get('type', '')} | {field.get('unit', '')} | {meaning} |"
            )
    return "\n".join(lines) + "\n"


def _record_page(row: dict[str, Any]) -> str:
    return "".join(f"{key}: {value}\n" for key, value in row.items() if value not in (None, ""))
