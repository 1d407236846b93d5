"""Pages made of docstrings, descriptors and tables: one a rule, a cause, a source, a package."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import Any

from tallyhook.errors import TallyhookError
from tallyhook.messages import say, to_say
from tallyhook.packages.package import Package, Resource, built_in_packages
from tallyhook.packages.rating_ids import template_of
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

_WAYS = {
    "up": to_say("a larger value"),
    "down": to_say("a smaller value"),
    "neither": to_say("neither way"),
}
"""Which move of a number lets more pass: ``permissive`` of its field, in words."""


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
    """Write a package's page from its descriptor: every table, every column, all that it says."""
    head = package.descriptor
    lines = [
        f"# {package.name} {package.version}",
        "",
        str(head.get("title", "")),
        "",
        str(head.get("description", "")),
    ]
    for resource in package.canonical:
        lines += ["", *_table_lines(resource, package[resource.name].height)]
    lines += _word_lines(package)
    return "\n".join(lines) + "\n"


def _table_lines(resource: Resource, rows: int) -> list[str]:
    entry, schema = resource.descriptor, resource.descriptor["schema"]
    about = say(
        "{title}. {n} rows, key: {key}.",
        title=entry.get("title", ""),
        n=rows,
        key=", ".join(resource.key),
    )
    if template := template_of(schema):
        about += " " + say("Names are made as `{template}`.", template=template)
    for key in schema.get("foreignKeys", []):
        target = key["reference"].get("resource") or resource.name
        about += " " + say(
            "{columns}: a row of {target}.", columns=_listed(key["fields"]), target=target
        )
    lines = [f"## {resource.name}", "", about]
    if entry.get("description"):
        lines += ["", str(entry["description"])]
    heads = (say("column"), say("type"), say("unit"), say("lets more pass"), say("meaning"))
    lines += ["", f"| {' | '.join(heads)} |", "| --- | --- | --- | --- | --- |"]
    for name, field in resource.fields.items():
        cells = (name, field.get("type", ""), field.get("unit", ""), _way(field), _meaning(field))
        lines.append(f"| {' | '.join(cells)} |")
    return lines


def _listed(columns: str | list[str]) -> str:
    return columns if isinstance(columns, str) else ", ".join(columns)


def _way(field: Mapping[str, Any]) -> str:
    way = field.get("permissive")
    if isinstance(way, Mapping):
        return say("as {column} says", column=way["column"])
    if field.get("type") == "boolean":
        return {"up": "`true`", "down": "`false`"}.get(str(way), "")
    return say(_WAYS[way]) if way in _WAYS else ""


def _meaning(field: Mapping[str, Any]) -> str:
    meaning = str(field.get("description") or field.get("title", ""))
    words = [f"`{word}`" for word in field.get("constraints", {}).get("enum", [])]
    return " ".join(
        [meaning, say("One of {words}.", words=", ".join(words))] if words else [meaning]
    )


def _word_lines(package: Package) -> list[str]:
    """List every word of an enumeration with its label, those of one enumeration together."""
    columns: dict[tuple[tuple[str, str], ...], dict[str, list[str]]] = {}
    for resource in package.canonical:
        for name, field in resource.fields.items():
            if labels := field.get("enumLabels"):
                tables = columns.setdefault(tuple(labels.items()), {}).setdefault(name, [])
                tables.append(resource.name)
    if not columns:
        return []
    heads = (say("columns"), say("word"), say("meaning"))
    lines = ["", "## " + say("Words"), "", f"| {' | '.join(heads)} |", "| --- | --- | --- |"]
    meanings = Counter(name for names in columns.values() for name in names)
    for labels, names in columns.items():
        # a name that means several things is told with its tables
        places = [
            name if meanings[name] == 1 else ", ".join(f"{table}.{name}" for table in tables)
            for name, tables in names.items()
        ]
        lines += [f"| {', '.join(places)} | {word} | {label} |" for word, label in labels]
    return lines


def _record_page(row: dict[str, Any]) -> str:
    shown = {k: str(v).lower() if isinstance(v, bool) else v for k, v in row.items()}
    return "".join(f"{key}: {value}\n" for key, value in shown.items() if value not in (None, ""))
