"""Write the software bill of materials, CycloneDX 1.6 as JSON, from requirements.lock.

Each locked version is a component with the hashes of its distributions, what it needs, and its
licence in its own words. The scope says for what tallyhook needs it: `required` always,
`optional` for an extra such as ``tallyhook[cluster]``, `excluded` for work on tallyhook only.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from importlib.metadata import PackageNotFoundError, metadata
from pathlib import Path
from typing import Any

from cyclonedx.contrib.hash.factories import HashTypeFactory
from cyclonedx.contrib.license.factories import LicenseFactory
from cyclonedx.model import ExternalReference, ExternalReferenceType, Property, XsUri
from cyclonedx.model.bom import Bom
from cyclonedx.model.component import Component, ComponentScope, ComponentType
from cyclonedx.model.license import DisjunctiveLicense, License, LicenseExpression
from cyclonedx.output.json import JsonV1Dot6
from cyclonedx.schema import SchemaVersion
from cyclonedx.validation.json import JsonStrictValidator
from locked import LOCK, ROOT, Pin, pins_of
from packageurl import PackageURL
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

Declared = Mapping[str, Any]
"""Metadata of a distribution: `license_expression`, `license`, `classifier`, `requires_dist`."""


def declared(pins: Sequence[Pin]) -> dict[Pin, Declared]:
    """Give the metadata of the pins: of what is installed, of the rest from the index."""
    found: dict[Pin, Declared] = {}
    for pin in pins:
        try:
            told = metadata(pin.name).json
        except PackageNotFoundError:
            continue
        if told["version"] == pin.version:
            found[pin] = told
    return found | from_index([pin for pin in pins if pin not in found])


def from_index(pins: Sequence[Pin]) -> dict[Pin, Declared]:
    """Give the metadata of pins for other platforms; nothing, and a word, without an index."""
    if not pins:
        return {}
    with tempfile.TemporaryDirectory() as folder:
        wanted, report = Path(folder, "pins.txt"), Path(folder, "report.json")
        wanted.write_text("".join(f"{p.name}=={p.version}\n" for p in pins), encoding="utf-8")
        how = [
            "install",
            "--quiet",
            "--dry-run",
            "--ignore-installed",
            "--no-deps",
            "--only-binary=:all:",
        ]
        other = [
            "--retries",
            "1",
            "--timeout",
            "15",
            "--python-version",
            "3.13",
            "--platform",
            "win_amd64",
        ]
        files = ["--target", str(Path(folder, "none")), "--report", str(report), "-r", str(wanted)]
        done = subprocess.run(
            [sys.executable, "-m", "pip", *how, *other, *files],
            capture_output=True,
            text=True,
            check=False,
        )
        if done.returncode:
            names = ", ".join(f"{p.name} {p.version}" for p in pins)
            print(f"No licences from the index for {names}.", file=sys.stderr)
            return {}
        told = [
            entry["metadata"] for entry in json.loads(report.read_text(encoding="utf-8"))["install"]
        ]
    by_name = {canonicalize_name(each["name"]): each for each in told}
    return {pin: by_name[pin.name] for pin in pins}


def licences(told: Declared) -> list[License]:
    """Give the licences of a distribution as it declares them, the most exact form it uses."""
    make = LicenseFactory().make_from_string
    text = (told.get("license") or "").strip()
    for exact in (told.get("license_expression"), text):
        own = make(exact) if exact else None
        if isinstance(own, LicenseExpression) or (own is not None and own.id):
            return [own]
    classified = [
        c.rsplit(" :: ", 1)[1] for c in told.get("classifier", []) if c.startswith("License :: ")
    ]
    # a licence in full has its name in the first line, if anywhere
    names = classified or text.splitlines()[:1]
    return [DisjunctiveLicense(name=name) for name in names]


def needs(told: Declared, extras: Iterable[str]) -> list[Requirement]:
    """Give what a distribution requires on any platform, with these extras."""
    found = []
    for text in told.get("requires_dist", []):
        requirement = Requirement(text)
        marker = requirement.marker
        wanted = marker is None or "extra" not in str(marker)
        if wanted or any(marker and marker.evaluate({"extra": extra}) for extra in extras):
            found.append(requirement)
    return found


def closure(roots: Iterable[Requirement], told: Mapping[Pin, Declared]) -> set[str]:
    """Give the names of all that requirements need, directly or not, in any locked version."""
    by_name: dict[str, list[Declared]] = {}
    for pin, own in told.items():
        by_name.setdefault(pin.name, []).append(own)
    seen: set[tuple[str, frozenset[str]]] = set()
    waiting = list(roots)
    while waiting:
        one = waiting.pop()
        key = (canonicalize_name(one.name), frozenset(one.extras))
        if key not in seen:
            seen.add(key)
            for own in by_name.get(key[0], []):
                waiting += needs(own, one.extras)
    return {name for name, _ in seen}


def component(pin: Pin, told: Declared | None, scope: ComponentScope) -> Component:
    """Give a pin as a component."""
    purl = PackageURL("pypi", None, pin.name, pin.version)
    marker = [Property(name="python:marker", value=pin.marker)] if pin.marker else []
    page = XsUri(f"https://pypi.org/project/{pin.name}/{pin.version}/")
    return Component(
        type=ComponentType.LIBRARY,
        bom_ref=str(purl),
        name=pin.name,
        version=pin.version,
        purl=purl,
        scope=scope,
        licenses=licences(told) if told else [],
        properties=marker,
        # a hash stands for one distribution, not for the component: there are several
        external_references=[
            ExternalReference(
                type=ExternalReferenceType.DISTRIBUTION,
                url=page,
                hashes=[HashTypeFactory().from_composite_str(f"sha256:{each}")],
            )
            for each in pin.hashes
        ],
    )


def bill(pins: Sequence[Pin], told: Mapping[Pin, Declared], project: Mapping[str, Any]) -> Bom:
    """Give the bill of a project, whose table of pyproject.toml is given."""
    direct = [Requirement(each) for each in project["dependencies"]]
    extra = [Requirement(e) for some in project["optional-dependencies"].values() for e in some]
    required, optional = closure(direct, told), closure(extra, told)
    purl = PackageURL("pypi", None, project["name"], project["version"])
    whole = Component(
        type=ComponentType.APPLICATION,
        bom_ref=str(purl),
        name=project["name"],
        version=project["version"],
        purl=purl,
        licenses=[LicenseExpression(project["license"])],
    )
    made = Bom()
    made.metadata.component = whole
    parts: dict[Pin, Component] = {}
    for pin in pins:
        scope = ComponentScope.EXCLUDED
        if pin.name in required:
            scope = ComponentScope.REQUIRED
        elif pin.name in optional:
            scope = ComponentScope.OPTIONAL
        parts[pin] = component(pin, told.get(pin), scope)
    made.components.update(parts.values())

    def those(requirements: Iterable[Requirement]) -> list[Component]:
        names = {canonicalize_name(each.name) for each in requirements}
        return [part for pin, part in parts.items() if pin.name in names]

    made.register_dependency(whole, those([*direct, *extra]))
    for pin, part in parts.items():
        made.register_dependency(part, those(needs(told.get(pin, {}), ())))
    return made


def main() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    pins = pins_of(LOCK.read_text(encoding="utf-8"))
    text = JsonV1Dot6(bill(pins, declared(pins), project)).output_as_string(indent=2)
    if wrong := JsonStrictValidator(SchemaVersion.V1_6).validate_str(text):
        sys.exit(f"The bill of materials is not valid CycloneDX 1.6: {wrong}")
    Path(sys.argv[1]).write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
