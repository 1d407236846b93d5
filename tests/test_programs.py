"""A test that lacks a program is skipped with a reason, and fails where CI asked for the program."""

from __future__ import annotations

import ast
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from programs import PROGRAMS, Program, forbidden, library, path_of

TESTS = Path(__file__).parent
NOWHERE = Program("an invented program", ("no-such-command-here",), "no-such-package")


def test_a_missing_program_skips_the_test_and_says_which(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("TALLYHOOK_PROGRAMS", raising=False)
    with pytest.raises(pytest.skip.Exception, match="an invented program is not installed here"):
        path_of(NOWHERE)
    with pytest.raises(pytest.skip.Exception, match="no_such_library is not installed here"):
        library("no_such_library.part")


def test_a_missing_program_fails_the_test_where_ci_asked_for_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("TALLYHOOK_PROGRAMS", "required")
    with pytest.raises(pytest.fail.Exception, match="an invented program is not installed here"):
        path_of(NOWHERE)
    with pytest.raises(pytest.fail.Exception, match="no_such_library is not installed here"):
        library("no_such_library.part")
    # no script can install a right
    with pytest.raises(pytest.skip.Exception, match="needs the right to mount"):
        forbidden("this needs the right to mount")


def test_a_module_of_ours_that_is_gone_is_an_error_and_no_want_of_a_program() -> None:
    with pytest.raises(ModuleNotFoundError):
        library("tallyhook.no_such_module")


@pytest.mark.parametrize("program", PROGRAMS, ids=lambda program: program.commands[0])
def test_a_program_is_found_by_any_of_its_commands(
    program: Program, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    command = tmp_path / program.commands[-1]
    command.touch(mode=0o755)
    assert path_of(program) == str(command)


def test_a_program_that_nothing_can_drive_is_not_found() -> None:
    there = Program("Python", ("python3", "python"), "python3")
    assert path_of(there)
    with pytest.raises((pytest.skip.Exception, pytest.fail.Exception)):
        path_of(there._replace(library="libinvented.so.0"))


SAYS = """#!/bin/sh
case "$*" in *update*) echo 'E: The source of others has no Release file.'; exit 100 ;; esac
echo 'E: Unable to locate package no-such-package'; exit 100
"""


@pytest.mark.skipif(os.name != "posix", reason="a script of bash")
@pytest.mark.parametrize(
    ("says", "reason"),
    [("", "this machine has no apt-get."), (SAYS, "Unable to locate package no-such-package.")],
)
def test_ci_says_in_a_sentence_what_it_could_not_install(
    says: str, reason: str, tmp_path: Path
) -> None:
    for name in ("bash", "dirname", "grep", "tail", "cut"):
        (tmp_path / name).symlink_to(shutil.which(name) or "/nowhere")
    made = {"python3": f'#!/bin/sh\nexec {sys.executable} "$@"\n', "id": "#!/bin/sh\necho 0\n"}
    for name, text in (made | ({"apt-get": says} if says else {})).items():
        (tmp_path / name).write_text(text)
        (tmp_path / name).chmod(0o755)
    done = subprocess.run(
        [tmp_path / "bash", TESTS.parent / ".ci" / "programs"],
        env={"PATH": str(tmp_path)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout) == (1, "")
    wanted = " ".join(program.packages for program in PROGRAMS)
    assert done.stderr == f".ci/programs could not install {wanted}: {reason}\n"


def skips(source: str) -> list[str]:
    """Give what of a test file skips a test: calls and decorators of pytest."""
    return [
        ast.unparse(node)
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr in ("skip", "skipif", "importorskip", "skipTest")
    ]


def test_tests_are_skipped_in_one_place() -> None:
    assert skips("pytest.importorskip('x')\npytest.mark.skipif(True, reason='y')\n") != []
    found = {
        f"{path.relative_to(TESTS)}: {skip}"
        for path in TESTS.rglob("*.py")
        if path.name != "programs.py"
        for skip in skips(path.read_text(encoding="utf-8"))
        if "os.name != 'posix'" not in skip  # another kind of machine, and no program
    }
    found -= {f"test_programs.py: {skip}" for skip in skips(Path(__file__).read_text("utf-8"))}
    assert found == set(), "ask programs.py for what the test needs"
