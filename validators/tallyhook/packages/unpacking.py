"""An archive unpacked into a folder of its own: within bounds, and nowhere else."""

from __future__ import annotations

import gzip
import io
import lzma
import struct
import tarfile
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path, PurePosixPath
from typing import IO, NamedTuple

from tallyhook.errors import PackageError
from tallyhook.messages import say

__all__ = ["Unpacked", "require_bounds", "unpack", "write_files"]

_LARGEST = 256 * 2**20  # bytes of all files; a rating table has kilobytes
_MOST_FILES = 20_000

_ZIP, _GZIP = (b"PK\x03\x04", b"PK\x05\x06"), b"\x1f\x8b"
_DAMAGED = (
    zipfile.BadZipFile, tarfile.TarError, zlib.error, lzma.LZMAError, EOFError, gzip.BadGzipFile,
    struct.error, ValueError, OverflowError,
)  # fmt: skip


class Unpacked(NamedTuple):
    """A file of an archive: its name in it, and a stream of its bytes."""

    name: str
    stream: IO[bytes]


def unpack(path: Path, folder: Path) -> None:
    """Unpack a ``.zip`` or a ``.tar.gz`` into an empty folder.

    Links, devices and the like are left out. What it is, is told by how the file begins.

    Raises
    ------
    PackageError
        It is no archive, it is damaged or locked, a name in it leads out of the folder or stands
        in it twice, or it is larger than any rating package.
    """
    try:
        with path.open("rb") as file:
            start = file.read(512)
    except OSError as error:
        raise PackageError(
            say("the file cannot be read ({reason})", reason=error.strerror or error),
            where=str(path),
            next_step=say("check its permissions"),
        ) from None
    if start.startswith(_ZIP):
        read = _of_zip
    elif start.startswith(_GZIP) or start[257:262] == b"ustar":
        read = _of_tar
    else:
        raise PackageError(
            say("it is neither a .zip nor a .tar.gz"),
            where=str(path),
            next_step=say("name the folder of a package, or an archive of it"),
        )
    try:
        write_files(read(path), folder, str(path))
    except _DAMAGED as error:
        reason = str(error).splitlines()[0] if str(error) else type(error).__name__
        raise PackageError(
            say("the archive is damaged ({reason})", reason=reason),
            where=str(path),
            next_step=say("get it anew"),
        ) from None
    except (RuntimeError, NotImplementedError) as error:  # a password, a rare compression
        raise PackageError(
            say("the archive cannot be unpacked ({reason})", reason=str(error).splitlines()[0]),
            where=str(path),
            next_step=say("unpack it by hand and name the folder"),
        ) from None


def _of_zip(path: Path) -> Iterator[Unpacked]:
    with zipfile.ZipFile(path) as archive:
        for member in archive.infolist():
            kind = member.external_attr >> 28  # of Unix: a file is 8; others leave it empty
            if not member.is_dir() and kind in (0, 8):
                with archive.open(member) as stream:
                    yield Unpacked(member.filename, stream)


def _of_tar(path: Path) -> Iterator[Unpacked]:
    with path.open("rb") as file:
        packed = file.read(2) == _GZIP
        file.seek(0)
        plain = gzip.GzipFile(fileobj=file) if packed else file
        # what is passed over is unpacked all the same: the bound is on the whole stream
        bounded = _Bounded(plain, 2 * _LARGEST, str(path))
        with tarfile.open(fileobj=io.BufferedReader(bounded), mode="r|") as archive:
            for member in archive:
                stream = archive.extractfile(member) if member.isreg() else None
                if stream is not None:
                    yield Unpacked(member.name, stream)


class _Bounded(io.RawIOBase):
    """A stream that ends in a refusal behind so many bytes."""

    def __init__(self, stream: IO[bytes] | gzip.GzipFile, most: int, where: str) -> None:
        self._stream, self._left, self._where = stream, most, where

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: memoryview) -> int:  # type: ignore[override]
        data = self._stream.read(len(buffer))
        self._left -= len(data)
        if self._left < 0:
            raise _too_large(self._where)
        buffer[: len(data)] = data
        return len(data)


def write_files(files: Iterator[Unpacked], folder: Path, where: str) -> None:
    """Write files into an empty folder, each at the place that its name says.

    Raises
    ------
    PackageError
        A name leads out of the folder or comes twice, or there are more files or bytes than any
        rating package has.
    """
    left, seen = _LARGEST, set[str]()
    for name, stream in files:
        target = folder / _inside(name, where)
        if str(target) in seen:
            raise _refused(say("two files in it are named {name}", name=name), where)
        seen.add(str(target))
        data = stream.read(left + 1)
        left -= len(data)
        require_bounds(len(seen), _LARGEST - left, where)
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)
        except (FileExistsError, NotADirectoryError, IsADirectoryError):
            raise _refused(say("{name} is a file and a folder in it", name=name), where) from None


def _inside(name: str, where: str) -> PurePosixPath:
    pure = PurePosixPath(name)
    drive = len(name) > 1 and name[1] == ":"
    if pure.is_absolute() or ".." in pure.parts or "\\" in name or drive or not pure.parts:
        raise _refused(say("the name {name} leads out of it", name=name), where)
    if not name.isprintable() or any(len(part.encode()) > 255 for part in pure.parts):
        raise _refused(say("no file can have the name {name}", name=name[:100]), where)
    return pure


def _refused(what: str, where: str) -> PackageError:
    return PackageError(
        what, where=where, next_step=say("unpack it by hand if you trust it, and name the folder")
    )


def require_bounds(files: int, size: int, where: str) -> None:
    """Refuse more files, or more bytes, than any rating package has.

    Raises
    ------
    PackageError
        There are more.
    """
    if files > _MOST_FILES or size > _LARGEST:
        raise _too_large(where)


def _too_large(where: str) -> PackageError:
    return PackageError(
        say(
            "it is larger than {mib} MiB or has more than {n} files",
            mib=_LARGEST >> 20,
            n=_MOST_FILES,
        ),
        where=where,
        next_step=say("rating packages are far smaller; name the folder of the packages alone"),
    )
