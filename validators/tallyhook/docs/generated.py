"""The generated files under docs/: a page a rule and a package, the truth, the demo's picture."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from tallyhook.checking import check
from tallyhook.docs.pages import RULE_KINDS, package_page, rule_list_page, rule_page
from tallyhook.docs.picture import screen_svg
from tallyhook.docs.truth import truth_page
from tallyhook.files import write_whole
from tallyhook.packages.package import built_in_packages, datasets_folder
from tallyhook.reporting.terminal import report_screen
from tallyhook.rules import all_rules

__all__ = ["generated_pages", "write_pages"]

_WIDTH, _LINES = 96, 44  # of the picture of the demo
_DEMO = "harrow-and-pike.csv"


def generated_pages() -> dict[str, str]:
    """Give every generated page by its path below docs/."""
    pages: dict[str, str] = {}
    for kind in RULE_KINDS:
        pages |= {f"rules/{rule.name}.md": rule_page(rule) for rule in all_rules(kind)}
        pages[f"rules/{kind}.md"] = rule_list_page(kind)
    for package in built_in_packages().values():
        pages[f"packages/{package.name}.md"] = package_page(package)
    pages["truth.md"] = truth_page(built_in_packages())
    pages["demo.svg"] = _demo_picture()
    return pages


def _demo_picture() -> str:
    report = check(datasets_folder() / "demo" / _DEMO)
    screen = report_screen(replace(report, file=_DEMO), width=_WIDTH)
    top = "\n".join(screen.splitlines()[:_LINES])
    return screen_svg(top, title="tallyhook check", width=_WIDTH)


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
