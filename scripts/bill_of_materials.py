"""Write the software bill of materials, CycloneDX 1.6 as JSON, from requirements.lock."""

from __future__ import annotations

import json
import re
import sys
import tomllib
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
_PIN = re.compile(r"^([A-Za-z0-9][\w.-]*)(?:\[[^\]]*\])?==([^\s;\\]+)\s*(?:;\s*([^\\]+?))?\s*\\?$")
_HASH = re.compile(r"--hash=sha256:([0-9a-f]{64})")


def components(lock: str) -> list[dict[str, Any]]:
    """Give the components that a lock file pins, with the hashes of their distributions."""
    found: list[dict[str, Any]] = []
    for line in lock.splitlines():
        if pin := _PIN.match(line):
            name, version, marker = pin.groups()
            name = re.sub(r"[-_.]+", "-", name).lower()
            purl = f"pkg:pypi/{name}@{version}"
            component: dict[str, Any] = {
                "type": "library",
                "bom-ref": purl,
                "name": name,
                "version": version,
                "purl": purl,
                "externalReferences": [],
            }
            if marker:
                component["properties"] = [{"name": "python:marker", "value": marker}]
            found.append(component)
        elif hashed := _HASH.search(line):
            # several files may serve one version, one a platform: each is a distribution
            found[-1]["externalReferences"].append(
                {
                    "type": "distribution",
                    "url": f"https://pypi.org/project/{found[-1]['name']}/{found[-1]['version']}/",
                    "hashes": [{"alg": "SHA-256", "content": hashed[1]}],
                }
            )
    return found


def main() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    ref = f"pkg:pypi/{project['name']}@{project['version']}"
    parts = components((ROOT / "requirements.lock").read_text(encoding="utf-8"))
    bill = {
        "$schema": "http://cyclonedx.org/schema/bom-1.6.schema.json",
        "bomFormat": "CycloneDX",
        "specVersion": "1.6",
        "version": 1,
        "metadata": {
            "component": {
                "type": "application",
                "bom-ref": ref,
                "name": project["name"],
                "version": project["version"],
                "purl": ref,
                "licenses": [{"license": {"id": project["license"]}}],
            }
        },
        "components": parts,
    }
    Path(sys.argv[1]).write_text(json.dumps(bill, indent=2) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
