"""The pins of requirements.lock."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
LOCK = ROOT / "requirements.lock"
_PIN = re.compile(r"^([A-Za-z0-9][\w.-]*)(?:\[[^\]]*\])?==([^\s;\\]+)\s*(?:;\s*([^\\]+?))?\s*\\?$")
_HASH = re.compile(r"--hash=sha256:([0-9a-f]{64})")


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """A locked version, the platforms it is for, and the hashes of its distributions."""

    name: str
    version: str
    marker: str | None
    hashes: tuple[str, ...]


def pins_of(lock: str) -> list[Pin]:
    """Read a lock file, its own form only: a line that is neither pin, hash nor comment raises."""
    found: list[tuple[str, str, str | None, list[str]]] = []
    for line in lock.splitlines():
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        if pin := _PIN.match(line):
            name, version, marker = pin.groups()
            found.append((re.sub(r"[-_.]+", "-", name).lower(), version, marker, []))
        elif found and (hashed := _HASH.search(line)):
            # several files may serve one version, one a platform
            found[-1][3].append(hashed[1])
        else:
            raise ValueError(f"not a line of a lock file: {line}")
    return [Pin(name=n, version=v, marker=m, hashes=tuple(h)) for n, v, m, h in found]
