"""Files that a command line names: read whole, or written anew."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from slurrycalc.metrology.names import near
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

LARGEST = 10_000_000
"""Bytes after which a file is no longer read; the floors below refuse one of that size with a sentence."""


def read_file(name: str, like: str) -> bytes:
    """Read a file that somebody named.

    Parameters
    ----------
    name : str
        Its path, as typed.
    like : str
        A right one, for the sentence.

    Returns
    -------
    bytes
        The file, or its start where it is larger than `LARGEST`, one byte more than that.

    Raises
    ------
    Refusal
        If it is not there, is a folder, or cannot be read.

    Examples
    --------
    >>> read_file("no-such-day.toml", "day.toml")
    Traceback (most recent call last):
    slurrycalc.metrology.remark.Refusal: `no-such-day.toml` is not there; name a file such as day.toml.
    """
    with open_file(name, like) as file:
        return file.read(LARGEST + 1)


@contextmanager
def open_file(name: str, like: str) -> Iterator[BinaryIO]:
    """Open a file that somebody named, to read it as a stream.

    Parameters
    ----------
    name : str
        Its path, as typed.
    like : str
        A right one, for the sentence.

    Yields
    ------
    file
        Open for reading bytes, from its start as often as wanted.

    Raises
    ------
    Refusal
        If it is not there, is a folder, a pipe or a device, or cannot be read.
    """
    with _opened(Path(name), name, like) as file:
        try:
            yield file
        except OSError as error:
            raise _unreadable(error, name, like) from None


def _opened(path: Path, name: str, like: str) -> BinaryIO:
    try:
        # Looked at before it is opened: a pipe in which nobody writes would be waited for.
        if path.exists() and not path.is_file() and not path.is_dir():
            raise Refusal(
                f"{quoted(name, 200)} is a pipe or a device, and no file; name a file such as {like}."
            )
        return path.open("rb")
    except Refusal:
        raise
    except IsADirectoryError:
        raise Refusal(_is_a_folder(path, like)) from None
    except FileNotFoundError:
        raise Refusal(f"{quoted(name, 200)} is not there; {_guess(path, like)}") from None
    except (OSError, ValueError) as error:
        if isinstance(error, PermissionError) and path.is_dir():  # what Windows says of a folder
            raise Refusal(_is_a_folder(path, like)) from None
        raise _unreadable(error, name, like) from None


def _unreadable(error: OSError | ValueError, name: str, like: str) -> Refusal:
    why = getattr(error, "strerror", None) or str(error)
    return Refusal(f"{quoted(name, 200)} cannot be read ({why}); name a file such as {like}.")


def _is_a_folder(path: Path, like: str) -> str:
    return f"{quoted(str(path), 200)} is a folder; name a file in it, such as {path / like}."


def _guess(path: Path, like: str) -> str:
    """Guess which file was meant, from those beside it."""
    try:
        beside = [file.name for file in path.parent.iterdir() if file.is_file()]
    except OSError:
        beside = []
    meant = near(path.name, beside)
    if meant:
        return f"did you mean {quoted(path.with_name(meant), 200)}?"
    return f"name a file such as {like}."


def write_new(name: str, text: str, like: str) -> None:
    """Write a file that is not there yet.

    Parameters
    ----------
    name : str
        Its path, as typed.
    text : str
        What to write, in UTF-8.
    like : str
        A right name, for the sentence.

    Raises
    ------
    Refusal
        If it is there already, which is never written over, or cannot be written.
    """
    path = Path(name)
    with _writing(path, name, like), path.open("x", encoding="utf-8", newline="\n") as file:
        try:
            file.write(text)
            # A full disk may say so only here; half a worksheet would pass for a whole one.
            file.flush()
            os.fsync(file.fileno())
        except BaseException:
            path.unlink(missing_ok=True)
            raise


@contextmanager
def with_new(name: str, text: str, like: str) -> Iterator[None]:
    """Write a file that is not there yet, as `write_new` does; it is gone again where what follows fails."""
    write_new(name, text, like)
    try:
        yield
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


@contextmanager
def kept_free(name: str, like: str) -> Iterator[Callable[[bytes], None]]:
    """Keep the name of a file that is not there yet for what a command will have to write.

    Parameters
    ----------
    name : str
        Its path, as typed.
    like : str
        A right name, for the sentence.

    Yields
    ------
    callable
        Writes it, once; where that is never called, no file is there afterwards.

    Raises
    ------
    Refusal
        As `write_new`, before anything else is done.
    """
    path, done = Path(name), False

    def write(data: bytes) -> None:
        nonlocal done
        with _writing(path, name, like), path.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        done = True

    with _writing(path, name, like):
        path.open("xb").close()
    try:
        yield write
    finally:
        if not done:
            path.unlink(missing_ok=True)


def write_ours(name: str, data: bytes, is_ours: Callable[[bytes], bool], what: str, like: str) -> None:
    """Write a file that is written again and again: over one of the same kind only, whole or not at all.

    Parameters
    ----------
    name : str
        Its path, as typed.
    data : bytes
        What to write.
    is_ours : callable
        Tells by the start of a file whether it may be written over.
    what : str
        What that is, for the sentence.
    like : str
        A right name, for the sentence.

    Raises
    ------
    Refusal
        If something else is there already, or it cannot be written.
    """
    from slurrycalc.logbook.disk import beside

    path = Path(name)
    with _writing(path, name, like):
        path = path.resolve()
        if path.exists():
            if not path.is_file():
                raise FileExistsError
            with path.open("rb") as file:
                if not is_ours(file.read(1000)):
                    raise Refusal(
                        f"{quoted(name, 200)} is there already, and no {what}, so it is not written over; "
                        f"give a new name, such as {like}."
                    )
        made = beside(path)
        try:
            made.write_bytes(data)
            made.replace(path)
        finally:
            made.unlink(missing_ok=True)


def _free(path: Path, like: str) -> str:
    """Give a right name that no file beside a path has."""
    of = Path(like)
    names = (like, *(f"{of.stem}-{n}{of.suffix}" for n in range(2, 100)))
    return next((name for name in names if not path.with_name(name).exists()), like)


@contextmanager
def _writing(path: Path, name: str, like: str) -> Iterator[None]:
    """Say in a sentence why a file cannot be written."""
    try:
        yield
    except Refusal:
        raise
    except FileExistsError:
        what = "a folder" if path.is_dir() else "there already, and is never written over"
        free = _free(path, like)
        raise Refusal(f"{quoted(name, 200)} is {what}; give a new name, such as {free}.") from None
    except FileNotFoundError as error:
        if path.parent.is_dir():
            raise Refusal(f"{quoted(name, 200)} cannot be written; give a name such as {like}.") from error
        raise Refusal(
            f"{quoted(name, 200)} cannot be written, since there is no folder {quoted(path.parent, 200)}; "
            f"make it first, or give a name such as {like}."
        ) from None
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise Refusal(f"{quoted(name, 200)} cannot be written ({why}); give a name such as {like}.") from None
