"""The generated pages under docs/: one a rule, one a rating package, the demo as a picture."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from tallyhook.checking import check
from tallyhook.docs.explanations import KINDS, rule_page
from tallyhook.docs.picture import screen_svg
from tallyhook.files import write_whole
from tallyhook.packages.package import Package, built_in_packages, datasets_folder
from tallyhook.reporting.terminal import report_screen
from tallyhook.rules import all_rules

__all__ = ["generated_pages", "package_page", "write_pages"]

_WIDTH, _LINES = 96, 44  # of the picture of the demo


def generated_pages() -> dict[str, str]:
    """Give every generated page by its path below docs/."""
    pages: dict[str, str] = {}
    for kind, heading in KINDS:
        rules = all_rules(kind)
        pages |= {f"rules/{rule.name}.md": rule_page(rule) for rule in rules}
        lines = [f"# {heading}", ""]
        lines += [
            f"- [{rule.name}]({rule.name}.md) ({rule.severity}): {rule.title}" for rule in rules
        ]
        pages[f"rules/{kind}.md"] = "\n".join(lines) + "\n"
    for package in built_in_packages().values():
        pages[f"packages/{package.name}.md"] = package_page(package)
    report = check(datasets_folder() / "demo" / "harrow-and-pike.csv")
    screen = report_screen(replace(report, file="harrow-and-pike.csv"), width=_WIDTH)
    top = "\n".join(screen.splitlines()[:_LINES])
    pages["demo.svg"] = screen_svg(top, title="tallyhook check", width=_WIDTH)
    return pages


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
            f"{entry.get('title', '')}. {rows} rows, key: {', '.join(resource.key)}.",
        ]
        if entry.get("description"):
            lines += ["", str(entry["description"])]
        lines += ["", "| column | type | unit | meaning |", "| --- | --- | --- | --- |"]
        for name, field in resource.fields.items():
            meaning = field.get("description") or field.get("title", "")
            lines.append(
                f"| {name} | {field.get('type', '')} | {field.get('unit', '')} | {meaning} |"
            )
    return "\n".join(lines) + "\n"


def write_pages(folder: Path) -> list[Path]:
    """Write the pages below a folder; pages of rules that are gone are removed."""
    pages = generated_pages()
    for sub in ("rules", "packages"):
        (folder / sub).mkdir(parents=True, exist_ok=True)
        for old in (folder / sub).glob("*.md"):
            if f"{sub}/{old.name}" not in pages:
                old.unlink()
    written = []
    for name, text in pages.items():
        path = folder / name
        write_whole(path, text)
        written.append(path)
    return written
