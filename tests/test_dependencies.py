"""The locked dependencies: audited where a service answers, and listed with the build."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread
from typing import Any

import pytest
from cyclonedx.schema import SchemaVersion
from cyclonedx.validation.json import JsonStrictValidator
from pip_requirements_parser import RequirementsFile

ROOT = Path(__file__).resolve().parents[1]
LOCK = f"""\
# comment
alpha==0.9 ; python_full_version < '3.12' \\
    --hash=sha256:{"0" * 64}
    # via beta
alpha==1.0 ; python_full_version >= '3.12' \\
    --hash=sha256:{"1" * 64}
beta==2.0 ; sys_platform == 'no such one' \\
    --hash=sha256:{"2" * 64} \\
    --hash=sha256:{"3" * 64}
"""


class Advisories(BaseHTTPRequestHandler):
    """A service of advisories in the form of https://ossf.github.io/osv-schema/."""

    asked: list[tuple[str, str]]
    weak: set[tuple[str, str]]

    def do_POST(self) -> None:
        query = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
        one = (query["package"]["name"], query["version"])
        self.asked.append(one)
        advisory = {
            "schema_version": "1.7.0",
            "id": "INVENTED-2026-1",
            "modified": "2026-01-01T00:00:00Z",
            "published": "2026-01-01T00:00:00Z",
            "summary": "An invented weakness.",
            "affected": [
                {
                    "package": {"name": one[0], "ecosystem": "PyPI"},
                    "ranges": [{"type": "ECOSYSTEM", "events": [{"fixed": "1.1"}]}],
                }
            ],
        }
        body = json.dumps({"vulns": [advisory]} if one in self.weak else {}).encode()
        self.send_response(200)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_: object) -> None:
        pass


@pytest.fixture
def service() -> Iterator[tuple[str, type[Advisories]]]:
    handler = type("Handler", (Advisories,), {"asked": [], "weak": set()})
    with ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}/v1/query", handler
        server.shutdown()


def audit(url: str, folder: Path) -> subprocess.CompletedProcess[str]:
    (folder / "lock").write_text(LOCK, encoding="utf-8")
    command = [sys.executable, "scripts/audit_dependencies.py", str(folder / "lock")]
    return subprocess.run(
        [*command, "-s", "osv", "--osv-url", url, "--cache-dir", str(folder / "cache")],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )


def test_every_locked_version_is_asked_for_and_a_weak_one_fails(
    service: tuple[str, type[Advisories]], tmp_path: Path
) -> None:
    url, handler = service
    handler.weak.add(("alpha", "1.0"))
    done = audit(url, tmp_path)
    assert (done.returncode, done.stderr) == (1, "")
    assert sorted(handler.asked) == [("alpha", "0.9"), ("alpha", "1.0"), ("beta", "2.0")]
    assert done.stdout.splitlines() == [
        "alpha 1.0: INVENTED-2026-1, fixed in 1.1: An invented weakness.",
        "3 locked dependencies audited, 1 known weaknesses.",
    ]


def test_no_known_weakness_passes(service: tuple[str, type[Advisories]], tmp_path: Path) -> None:
    done = audit(service[0], tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout == "3 locked dependencies audited, 0 known weaknesses.\n"


def test_a_service_that_is_not_there_is_no_clean_bill(tmp_path: Path) -> None:
    done = audit("http://127.0.0.1:9/v1/query", tmp_path)
    assert (done.returncode, done.stdout) == (0, "")
    assert done.stderr.startswith("NOTHING WAS AUDITED: no answer for any of 3 locked")


def test_what_a_service_does_not_know_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.syspath_prepend(str(ROOT / "scripts"))
    import audit_dependencies

    def known(pins: Any, _: Any) -> dict[str, Any]:
        # the two forms of pip-audit's JSON: an answer, and "not found"
        return {
            "dependencies": [
                {"name": p.name, "version": p.version, "vulns": []}
                if p.name == "alpha"
                else {"name": p.name, "skip_reason": "Dependency not found"}
                for p in pins
            ]
        }

    (tmp_path / "lock").write_text(LOCK, encoding="utf-8")
    monkeypatch.setattr(audit_dependencies, "answers", known)
    monkeypatch.setattr(sys, "argv", ["", str(tmp_path / "lock")])
    assert audit_dependencies.main() == 0
    told = capsys.readouterr()
    assert told.err == "NOT AUDITED: no answer for 1: beta 2.0.\n"
    assert told.out == "2 locked dependencies audited, 0 known weaknesses.\n"


@pytest.fixture(scope="module")
def bill(tmp_path_factory: pytest.TempPathFactory) -> str:
    path = tmp_path_factory.mktemp("bill") / "bill.json"
    command = [sys.executable, "scripts/bill_of_materials.py", str(path)]
    subprocess.run(command, cwd=ROOT, check=True)
    return path.read_text(encoding="utf-8")


def test_the_bill_is_valid_by_the_published_schema(bill: str) -> None:
    valid = JsonStrictValidator(SchemaVersion.V1_6)
    assert valid.validate_str(bill) is None
    assert valid.validate_str(bill.replace("SHA-256", "SHA-255")) is not None
    assert valid.validate_str(bill.replace('"scope"', '"scop"')) is not None


def test_the_bill_lists_what_pip_is_told_to_install(bill: str) -> None:
    listed = {
        (c["name"], c["version"]): {
            each["content"] for ref in c["externalReferences"] for each in ref["hashes"]
        }
        for c in json.loads(bill)["components"]
    }
    requirements = RequirementsFile.from_file(str(ROOT / "requirements.lock")).requirements
    locked = {
        (r.name, r.get_pinned_version): {h.removeprefix("sha256:") for h in r.hash_options}
        for r in requirements
    }
    assert all(locked.values())
    assert listed == locked


def test_the_bill_tells_licences_and_what_each_part_is_for(bill: str) -> None:
    told = json.loads(bill)
    parts = {c["name"]: c for c in told["components"]}
    # what these projects publish themselves
    for name, licence in {"certifi": "MPL-2.0", "requests": "Apache-2.0", "rich": "MIT"}.items():
        assert parts[name]["licenses"] == [{"license": {"id": licence}}], name
    for name, scope in {
        "polars": "required",
        "markupsafe": "required",  # by jinja2, which frictionless needs as well
        "bokeh": "optional",
        "pyarrow": "optional",
        "openpyxl": "optional",
        "sqlalchemy": "optional",
        "distributed": "optional",
        "tblib": "optional",  # by distributed
        "pytest": "excluded",
        "pluggy": "excluded",  # by pytest
    }.items():
        assert parts[name]["scope"] == scope, name
        assert parts[name]["licenses"], name
    needed = {d["ref"]: d.get("dependsOn", []) for d in told["dependencies"]}
    jinja = parts["jinja2"]["bom-ref"]
    assert needed[jinja] == [parts["markupsafe"]["bom-ref"]]
    assert jinja in needed[told["metadata"]["component"]["bom-ref"]]
