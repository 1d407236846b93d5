"""Archives from anywhere: whole, damaged, hostile."""

from __future__ import annotations

import gzip
import io
import tarfile
import zipfile
from collections.abc import Mapping
from pathlib import Path

import pytest

from package_folders import describe, edit, make_package
from tallyhook.errors import PackageError
from tallyhook.packages import unpacking
from tallyhook.packages.diff import diff
from tallyhook.packages.sides import packages_of


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_package(tmp_path / "packages" / "demo")


def files_of(folder: Path) -> dict[str, bytes]:
    return {
        p.relative_to(folder.parent).as_posix(): p.read_bytes()
        for p in sorted(folder.rglob("*"))
        if p.is_file()
    }


def zipped(path: Path, files: Mapping[str, bytes]) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(name, data)
    return path


def tarred(path: Path, files: Mapping[str, bytes], mode: str = "w:gz") -> Path:
    with tarfile.open(path, mode) as archive:  # type: ignore[call-overload]
        for name, data in files.items():
            member = tarfile.TarInfo(name)
            member.size = len(data)
            archive.addfile(member, io.BytesIO(data))
    return path


@pytest.mark.parametrize("kind", ["a.zip", "a.tar.gz", "a.tgz", "a.tar", "a.whl", "no-ending"])
@pytest.mark.parametrize("above", ["", "project-1.0/datasets/", "./"])
def test_an_archive_is_what_it_holds(folder: Path, tmp_path: Path, kind: str, above: str) -> None:
    files = {above + name: data for name, data in files_of(folder).items()}
    pack = zipped if kind in ("a.zip", "a.whl", "no-ending") else tarred
    path = pack(tmp_path / kind, files) if kind != "a.tar" else tarred(tmp_path / kind, files, "w")
    edit(folder, "3200", "3150")
    assert [(c.old, c.new) for c in diff(path, folder.parent).changes] == [("3200", "3150")]
    assert [(c.old, c.new) for c in diff(folder, path).changes] == [("3150", "3200")]


def test_an_archive_of_one_package_is_a_single_one(folder: Path, tmp_path: Path) -> None:
    files = {name.removeprefix("demo/"): data for name, data in files_of(folder).items()}
    assert packages_of(zipped(tmp_path / "a.zip", files)).single
    assert packages_of(zipped(tmp_path / "b.zip", files_of(folder))).single
    describe(make_package(folder.parent / "other"), name="other")
    both = files_of(folder) | files_of(folder.parent / "other")
    assert not packages_of(zipped(tmp_path / "c.zip", both)).single


def refusal(path: Path) -> str:
    with pytest.raises(PackageError) as error:
        packages_of(path)
    return str(error.value)


@pytest.mark.parametrize(
    "name", ["../out.csv", "/tmp/out.csv", "a/../../out.csv", "..\\out.csv", "C:/out.csv"]
)
@pytest.mark.parametrize("pack", [zipped, tarred])
def test_no_name_leads_out(folder: Path, tmp_path: Path, name: str, pack: object) -> None:
    path = pack(tmp_path / "a", {**files_of(folder), name: b"x"})  # type: ignore[operator]
    before = sorted(tmp_path.rglob("*"))
    assert f"{path}: the name {name} leads out of it; unpack it by hand" in refusal(path)
    assert sorted(tmp_path.rglob("*")) == before


def test_a_link_is_not_followed(folder: Path, tmp_path: Path) -> None:
    files = files_of(folder)
    outside = tmp_path / "loads.csv"
    outside.write_bytes(files.pop("demo/data/loads.csv"))
    path = tmp_path / "a.tar.gz"
    with tarfile.open(path, "w:gz") as archive:
        link = tarfile.TarInfo("demo/data/loads.csv")
        link.type, link.linkname = tarfile.SYMTYPE, str(outside)
        archive.addfile(link)
        for name, data in files.items():
            member = tarfile.TarInfo(name)
            member.size = len(data)
            archive.addfile(member, io.BytesIO(data))
    assert "a.tar.gz/demo/data/loads.csv: the table's file is missing" in refusal(path)


@pytest.mark.parametrize("pack", [zipped, tarred])
def test_an_archive_cut_off_is_damaged(folder: Path, tmp_path: Path, pack: object) -> None:
    path = pack(tmp_path / "a", files_of(folder))  # type: ignore[operator]
    data = path.read_bytes()
    for length in (20, len(data) // 2, len(data) - 30):
        path.write_bytes(data[:length])
        assert refusal(path).startswith(f"{path}: the archive is damaged (")


@pytest.mark.parametrize("pack", [zipped, tarred])
def test_an_archive_with_a_wrong_byte_ends_in_a_sentence(
    folder: Path, tmp_path: Path, pack: object
) -> None:
    path = pack(tmp_path / "a", files_of(folder))  # type: ignore[operator]
    data = path.read_bytes()
    for place in range(0, len(data), 7):
        path.write_bytes(data[:place] + bytes([data[place] ^ 0xFF]) + data[place + 1 :])
        try:
            packages_of(path)
        except PackageError as error:
            assert str(error).count("\n") == 0


def test_what_is_no_archive_says_so(tmp_path: Path) -> None:
    path = tmp_path / "a.zip"
    for content in (b"", b"Part,WLL\n", b"7z\xbc\xaf'\x1c"):
        path.write_bytes(content)
        assert refusal(path).startswith(f"{path}: it is neither a .zip nor a .tar.gz;")


@pytest.mark.parametrize("pack", [zipped, tarred])
def test_an_archive_without_a_package_says_so(tmp_path: Path, pack: object) -> None:
    for files in ({}, {"list.csv": b"Part\n"}):
        path = pack(tmp_path / "a", files)  # type: ignore[operator]
        assert f"{path}: there is no rating package in it" in refusal(path)


def test_an_archive_that_grows_is_refused_before_it_fills_the_disk(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(unpacking, "_LARGEST", 2**20)
    zeros = bytes(3 * 2**20)
    for path in (
        zipped(tmp_path / "a.zip", {"demo/zeros": zeros}),
        tarred(tmp_path / "a.tar.gz", {"demo/zeros": zeros}),
    ):
        assert "it is larger than 1 MiB or has more than" in refusal(path)
    endless = tmp_path / "b.tar.gz"  # what is passed over is unpacked all the same
    with gzip.open(endless, "wb") as file:
        directory = tarfile.TarInfo("x")
        directory.type, directory.size = tarfile.SYMTYPE, 0
        file.write(directory.tobuf() * 5000)
    assert "it is larger than 1 MiB" in refusal(endless)


def test_an_archive_of_too_many_files_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(unpacking, "_MOST_FILES", 3)
    path = zipped(tmp_path / "a.zip", {f"{n}.csv": b"" for n in range(4)})
    assert "has more than 3 files" in refusal(path)


def test_a_name_that_comes_twice_is_refused(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "a.zip"
    with zipfile.ZipFile(path, "w") as archive, pytest.warns(UserWarning, match="Duplicate"):
        for data in (b"{}", b"[]"):
            archive.writestr("demo/datapackage.json", data)
    assert "two files in it are named demo/datapackage.json" in refusal(path)
    both = {"demo": b"", "demo/datapackage.json": b"{}"}
    assert "is a file and a folder in it" in refusal(tarred(tmp_path / "a.tgz", both))


def test_a_locked_archive_is_refused(folder: Path, tmp_path: Path) -> None:
    path = zipped(tmp_path / "a.zip", files_of(folder))
    data = bytearray(path.read_bytes())
    for mark, place in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):  # the bit that says: encrypted
        at = data.find(mark)
        while at >= 0:
            data[at + place] |= 1
            at = data.find(mark, at + 4)
    path.write_bytes(data)
    assert f"{path}: the archive cannot be unpacked (" in refusal(path)
