"""Ask for the known weaknesses of every locked dependency, with pip-audit.

Arguments after the lock go to pip-audit, such as ``-s osv`` for another service. Every pin is
asked for, those of other platforms too. Exits 1 when a pin has a known weakness. A service that
gives no answer is no such finding, and no clean bill either: that is said on stderr.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from locked import LOCK, Pin, pins_of


def lists_of(pins: Iterable[Pin]) -> list[list[Pin]]:
    """Give the pins as lists that name nothing twice: pip-audit takes no other."""
    lists: list[list[Pin]] = []
    for pin in pins:
        for each in lists:
            if all(pin.name != other.name for other in each):
                each.append(pin)
                break
        else:
            lists.append([pin])
    return lists


def answers(pins: Sequence[Pin], options: Sequence[str]) -> dict[str, Any] | str:
    """Give pip-audit's report of pins, or why there is none.

    The markers are left out: pip-audit would pass over what is not for this platform.
    """
    with tempfile.TemporaryDirectory() as folder:
        wanted = Path(folder, "pins.txt")
        wanted.write_text(
            "".join(
                f"{p.name}=={p.version} " + " ".join(f"--hash=sha256:{h}" for h in p.hashes) + "\n"
                for p in pins
            ),
            encoding="utf-8",
        )
        how = ["--disable-pip", "--require-hashes", "--progress-spinner", "off", "--format", "json"]
        done = subprocess.run(
            [sys.executable, "-m", "pip_audit", *how, "-r", str(wanted), *options],
            capture_output=True,
            text=True,
            check=False,
        )
    try:
        return dict(json.loads(done.stdout))
    except ValueError:
        lines = done.stderr.strip().splitlines() or [f"pip-audit ended with {done.returncode}"]
        return lines[-1]


def main() -> int:
    lock, options = Path(sys.argv[1]) if len(sys.argv) > 1 else LOCK, sys.argv[2:]
    pins = pins_of(lock.read_text(encoding="utf-8"))
    if not pins:
        sys.exit(f"{lock} pins nothing: nothing to audit.")
    weak, unanswered, audited = [], [], 0
    for some in lists_of(pins):
        report = answers(some, options)
        if isinstance(report, str):
            unanswered += [(f"{p.name} {p.version}", report) for p in some]
            continue
        told = {entry["name"]: entry for entry in report["dependencies"]}
        for pin in some:
            entry, title = told.get(pin.name, {}), f"{pin.name} {pin.version}"
            if "vulns" not in entry:
                unanswered.append((title, entry.get("skip_reason", "pip-audit left it out")))
                continue
            audited += 1
            for found in entry["vulns"]:
                fixed = ", ".join(found["fix_versions"]) or "no version"
                weak.append(f"{title}: {found['id']}, fixed in {fixed}: {found['description']}")
    for line in weak:
        print(line)
    if not audited:
        print(
            f"NOTHING WAS AUDITED: no answer for any of {len(pins)} locked dependencies "
            f"({unanswered[0][1]}).",
            file=sys.stderr,
        )
    elif unanswered:
        names = ", ".join(title for title, _ in unanswered)
        print(f"NOT AUDITED: no answer for {len(unanswered)}: {names}.", file=sys.stderr)
    if audited:
        print(f"{audited} locked dependencies audited, {len(weak)} known weaknesses.")
    return 1 if weak else 0


if __name__ == "__main__":
    sys.exit(main())
