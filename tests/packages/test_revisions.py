"""A folder of a git repository as it was at a revision."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from package_folders import edit, make_package
from programs import GIT, path_of
from tallyhook.errors import PackageError
from tallyhook.packages.diff import diff
from tallyhook.packages.sides import packages_of


def git(folder: Path, *words: str) -> None:
    identity = ["-c", "user.name=t", "-c", "user.email=t@example.org"]
    subprocess.run(
        [path_of(GIT), "-C", str(folder), *identity, *words], check=True, capture_output=True
    )


@pytest.fixture
def repo(tmp_path: Path) -> Path:
    """A repository with one package, changed in its second commit and again in the folder."""
    folder = tmp_path / "repo"
    package = make_package(folder / "datasets" / "demo")
    git(tmp_path, "init", "-q", str(folder))
    (folder / "link.csv").symlink_to("/etc/passwd")
    git(folder, "add", ".")
    git(folder, "commit", "-q", "-m", "first")
    git(folder, "tag", "v1")
    edit(package, "3200", "3150")
    git(folder, "commit", "-q", "-a", "-m", "second")
    edit(package, "3150", "3100")
    return folder


def told(found: object) -> list[tuple[str, str]]:
    return [(c.old, c.new) for c in found.changes]  # type: ignore[attr-defined]


def test_revisions_and_folders_are_compared(repo: Path) -> None:
    folder = repo / "datasets" / "demo"
    assert told(diff("v1:datasets/demo", "HEAD:datasets/demo", repo=repo)) == [("3200", "3150")]
    assert told(diff("HEAD:datasets/demo/", folder, repo=repo)) == [("3150", "3100")]
    assert told(diff("v1:datasets", repo / "datasets", repo=repo)) == [("3200", "3100")]
    # the whole project, and from a folder within it
    assert told(diff("v1:", "HEAD:", repo=folder)) == [("3200", "3150")]
    assert told(diff("v1:./", "HEAD~1:./", repo=folder)) == []


def test_the_working_folder_is_the_repository_if_none_is_named(
    repo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(repo / "datasets")
    assert told(diff("v1:datasets/demo", "demo")) == [("3200", "3100")]


def test_a_revision_is_taken_as_it_was_committed(repo: Path) -> None:
    """Ends of lines and what attributes hide are the affair of a checkout."""
    (repo / ".gitattributes").write_text("*.csv export-ignore eol=crlf\n", encoding="utf-8")
    git(repo, "add", ".gitattributes")
    git(repo, "commit", "-q", "-m", "attributes")
    assert told(diff("v1:datasets", "HEAD:datasets", repo=repo)) == [("3200", "3150")]


@pytest.mark.parametrize(
    ("named", "sentence"),
    [
        (
            "nope:datasets/demo",
            "nope:datasets/demo: the repository has no revision nope; write it as REVISION",
        ),
        (
            "v1:datasets/chain",
            "v1:datasets/chain: there is no datasets/chain at v1; write it as REVISION",
        ),
        ("v1:datasets/demo/datapackage.json", "it is a file and no folder; write it as REVISION"),
        ("--output=x:datasets", "no revision can be named so; write it as REVISION"),
        ("v1:datasets/de\0mo", "no revision can be named so"),
        ("v1:datasets/demo/data", "v1:datasets/demo/data: there is no rating package in it"),
        ("v1", "v1: there is no such folder or archive; name the folder of a package"),
        (":datasets", ":datasets: there is no such folder or archive"),
        ("C:\\packages", "there is no such folder or archive"),
    ],
)
def test_what_is_no_revision_is_refused(repo: Path, named: str, sentence: str) -> None:
    with pytest.raises(PackageError, match=sentence):
        packages_of(named, repo)


def test_without_a_repository_it_says_so(tmp_path: Path) -> None:
    with pytest.raises(PackageError, match=r"git refuses \(fatal: not a git repository"):
        packages_of("HEAD:datasets", tmp_path)
    with pytest.raises(PackageError, match=r"nowhere: there is no such folder; check --repo"):
        packages_of("HEAD:datasets", tmp_path / "nowhere")


def test_without_git_it_says_so(repo: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", str(repo))
    with pytest.raises(
        PackageError,
        match="git is needed to read a revision, and it is not installed here;"
        " install it, or name a folder or an archive",
    ):
        packages_of("HEAD:datasets", repo)


def test_a_broken_package_of_a_revision_is_named_by_the_revision(repo: Path) -> None:
    edit(repo / "datasets" / "demo", "3100", "many")
    git(repo, "commit", "-q", "-a", "-m", "broken")
    with pytest.raises(
        PackageError,
        match=r"^HEAD:datasets/demo/data/loads\.csv, line 2, column wll_kg: 'many' is not a number",
    ):
        packages_of("HEAD:datasets/demo", repo)


def test_a_hook_of_another_repository_changes_nothing(
    repo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    git(tmp_path, "init", "-q", str(tmp_path / "other"))
    monkeypatch.setenv("GIT_DIR", str(tmp_path / "other" / ".git"))
    assert told(diff("v1:datasets", "HEAD:datasets", repo=repo)) == [("3200", "3150")]
