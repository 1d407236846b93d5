"""What tallyhook says of its work to whoever listens, and that it is silent otherwise."""

from __future__ import annotations

import logging
import subprocess
import sys
from pathlib import Path
from unittest import mock

import pandas as pd
import pytest

import tallyhook
from tallyhook import checking

ROOT = Path(__file__).resolve().parents[1]
LIST = pd.DataFrame({"Item": ["Chain"], "Size": ["10 mm"], "Grade": [80], "WLL (kg)": [3150]})


def heard(caplog: pytest.LogCaptureFixture, level: int) -> list[tuple[str, str, str]]:
    return [
        (record.name, record.levelname, record.getMessage())
        for record in caplog.records
        if record.levelno >= level
    ]


def test_each_step_of_a_check_is_told(caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.DEBUG, logger="tallyhook"):
        tallyhook.check(LIST)
    steps = heard(caplog, logging.INFO)
    assert {(name, level) for name, level, _ in steps} == {("tallyhook.checking", "INFO")}
    said = [message.split(",")[0].split(" with ")[0] for _, _, message in steps]
    assert said == [
        "frame: read", "frame: matched 1 different items", "frame: judged", "frame: explained"
    ]  # fmt: skip
    details = [m for _, level, m in heard(caplog, logging.DEBUG) if level == "DEBUG"]
    assert any(m.startswith("packages: ") and "chain " in m for m in details)
    assert any("wll from 'WLL (kg)'" in m for m in details)


def test_files_audits_and_crashes_are_told(
    caplog: pytest.LogCaptureFixture, tmp_path: Path
) -> None:
    with caplog.at_level(logging.INFO, logger="tallyhook"):
        (written,) = tallyhook.export(tmp_path, format="sqlite", packages=["chain"])
        tallyhook.tidy(LIST, tmp_path / "tidied")
        tallyhook.audit(only="sources")
    told = [message for _, _, message in heard(caplog, logging.INFO)]
    assert f"wrote {written}" in told and f"wrote {tmp_path / 'tidied'}" in told
    assert any(m.startswith("audited sources by ") and m.endswith(" 0 findings") for m in told)


def test_a_rule_that_crashed_is_a_warning(caplog: pytest.LogCaptureFixture) -> None:
    judge = checking.judge

    def crashing(*args: object, **options: object) -> object:
        judgement = judge(*args, **options)  # type: ignore[arg-type]
        judgement.crashed["an-invented-rule"] = "ValueError: no"
        return judgement

    with mock.patch.object(checking, "judge", crashing):
        tallyhook.check(LIST)
    warned = [(level, m) for _, level, m in heard(caplog, logging.WARNING)]
    assert warned == [
        ("WARNING", "frame: the rule an-invented-rule crashed, no answer: ValueError: no")
    ]


def test_nobody_hears_who_does_not_listen() -> None:
    code = (
        "import tallyhook, logging;"
        "logging.getLogger('tallyhook').warning('a rule crashed');"
        "print([type(h).__name__ for h in logging.getLogger('tallyhook').handlers])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        env={"PYTHONPATH": str(ROOT / "validators")},
        capture_output=True,
        text=True,
        check=True,
    )
    assert (done.stdout, done.stderr) == ("['NullHandler']\n", "")
