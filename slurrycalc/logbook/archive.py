"""Files of a folder or an archive that somebody gives: looked at first, then read as streams."""

from __future__ import annotations

import hashlib
import io
import stat
import struct
import zipfile
import zlib
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, TYPE_CHECKING

from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

if TYPE_CHECKING:
    from _typeshed import WriteableBuffer

LARGEST = 2_000_000_000
"""Of all files together, unpacked; four million readings have as much (our own figure). [bytes]"""
MOST_FILES = 1000
"""Files of an archive that is still looked at (our own figure)."""
NOTHING = "nothing was imported"
_END, _END_OF_LARGE = b"PK\x05\x06", b"PK\x06\x07"
_END_SIZE, _LARGE_SIZE, _LONGEST_COMMENT = 22, 20, 65_535
_BLOCK = 1_000_000
"""[bytes]"""
_PLAIN = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_BROKEN = (
    *(zipfile.BadZipFile, zlib.error, struct.error, EOFError),
    *(NotImplementedError, RuntimeError, ValueError),
)
"""What the standard library raises on an archive that is damaged, locked, or not of this world."""


class Files:
    """The files of a folder or an archive, each by its name.

    Parameters
    ----------
    path : Path
        Of the folder or the archive.
    known : collection of str
        Names of the files that may be asked for; others are passed over.
    """

    def __init__(self, path: Path, known: Collection[str]) -> None:
        self.path = path
        self._archive: zipfile.ZipFile | None = None
        try:
            with _translated(path):
                if path.is_dir():
                    self._sizes = dict(_of_folder(path, known))
                else:
                    self._archive = _archive(path)
                    self._sizes = dict(self._members(known))
        except Refusal:
            self.close()
            raise
        if sum(self._sizes.values()) > LARGEST:
            self.close()
            raise Refusal(
                f"{quoted(str(path), 200)} holds more than any logbook does, {LARGEST // 1_000_000_000} GB "
                f"when it is unpacked; {NOTHING}."
            )

    def close(self) -> None:
        """Let go of the archive."""
        if self._archive is not None:
            self._archive.close()

    def _members(self, known: Collection[str]) -> Iterator[tuple[str, int]]:
        assert self._archive is not None
        seen = set()
        for info in self._archive.infolist():
            if info.filename not in known:
                continue
            if info.filename in seen:
                raise _no_archive(self.path, f"{info.filename} is in it twice")
            if info.compress_type not in _PLAIN:
                raise _no_archive(self.path, f"{info.filename} is packed in an unusual way")
            seen.add(info.filename)
            yield info.filename, info.file_size

    def __contains__(self, name: object) -> bool:
        return name in self._sizes

    def size(self, name: str) -> int:
        """Give the size of a file, unpacked. [bytes]."""
        return self._sizes[name]

    def open(self, name: str) -> Stream:
        """Open a file to read it as a stream.

        Parameters
        ----------
        name : str
            One that is there.

        Returns
        -------
        Stream
            To be closed.

        Raises
        ------
        Refusal
            If it cannot be opened.
        """
        with _translated(self.path):
            if self._archive is None:
                return Stream(self.path, (self.path / name).open("rb"))
            return Stream(self.path, self._archive.open(name))


class Stream(io.RawIOBase):
    """A file on its way in, with the sum that tells whether it is whole.

    Parameters
    ----------
    path : Path
        Of the folder or the archive, for sentences about it.
    file : file
        Open for reading bytes.
    """

    def __init__(self, path: Path, file: IO[bytes]) -> None:
        self._path = path
        self._file = file
        self._sum = hashlib.sha256()

    def readable(self) -> bool:
        """Tell that it can be read."""
        return True

    def readinto(self, buffer: WriteableBuffer) -> int:
        """Read the next bytes."""
        into = memoryview(buffer)
        with _translated(self._path):
            data = self._file.read(len(into))
        into[: len(data)] = data
        self._sum.update(data)
        return len(data)

    def sha256(self) -> str:
        """Read what is left, and give the sum of the whole file in hexadecimal digits."""
        rest = bytearray(_BLOCK)
        while self.readinto(rest):
            pass
        return self._sum.hexdigest()

    def close(self) -> None:
        """Let go of the file."""
        self._file.close()
        super().close()


def _of_folder(path: Path, known: Collection[str]) -> Iterator[tuple[str, int]]:
    for file in path.iterdir():
        if file.name in known and file.is_file():
            yield file.name, file.stat().st_size


def _archive(path: Path) -> zipfile.ZipFile:
    # Looked at before it is opened: a pipe in which nobody writes would be waited for.
    if not stat.S_ISREG(path.stat().st_mode):
        raise _no_archive(path, "it is a pipe or a device")
    _see_that_it_is_small(path)
    return zipfile.ZipFile(path)


def _see_that_it_is_small(path: Path) -> None:
    """Look at how many files an archive says that it holds, before the list of them is read into memory.

    References
    ----------
    .. [1] APPNOTE 6.3, sections 4.3.15 and 4.3.16 (from memory): the end of the central directory.
    """
    with path.open("rb") as file:
        size = file.seek(0, 2)
        file.seek(max(0, size - _END_SIZE - _LONGEST_COMMENT - _LARGE_SIZE))
        tail = file.read()
    at = len(tail) - _END_SIZE
    if at < 0 or not (tail[at:].startswith(_END) and tail.endswith(b"\0\0")):
        at = tail.rfind(_END)
    if at < 0 or len(tail) - at < _END_SIZE:
        return  # no archive at all, as its reader will say
    (count,) = struct.unpack("<H", tail[at + 10 : at + 12])
    # An archive of more than 65,535 files, or 4 GB, has a second end before this one.
    if count > MOST_FILES or tail[max(0, at - _LARGE_SIZE) : at].startswith(_END_OF_LARGE):
        raise _no_archive(path, f"it holds more than {MOST_FILES} files")


@contextmanager
def _translated(path: Path) -> Iterator[None]:
    """Turn what is wrong with a file that was given into a sentence."""
    try:
        yield
    except Refusal:
        raise
    except OSError as error:
        raise Refusal(
            f"{quoted(str(path), 200)} cannot be read ({error.strerror or error}); {NOTHING}."
        ) from None
    except _BROKEN as error:
        raise _no_archive(path, error) from None


def _no_archive(path: Path, why: object) -> Refusal:
    return Refusal(f"{quoted(str(path), 200)} is no archive that can be read ({why}); {NOTHING}.")
