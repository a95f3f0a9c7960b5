"""Killing a program at its nth write or sync, by a hook and not by luck.

The program runs as a traced child: it stops at each call that changes a file, and is killed just before the
nth of them. Linux only, with nothing but the standard library.
"""

from __future__ import annotations

import ctypes
import os
import platform
import signal
import struct
from collections.abc import Callable

_CALLS = {
    "x86_64": {
        18: "pwrite",
        75: "fdatasync",
        74: "fsync",
        77: "ftruncate",
        87: "unlink",
        263: "unlink",
        86: "link",
    },
    "aarch64": {68: "pwrite", 83: "fdatasync", 82: "fsync", 46: "ftruncate", 35: "unlink", 37: "link"},
}
CALLS = _CALLS.get(platform.machine(), {}) if os.name == "posix" else {}
"""Numbers of the calls by which files change, on this machine."""

_TRACEME, _SYSCALL, _SETOPTIONS, _GET_SYSCALL_INFO = 0, 24, 0x4200, 0x420E
_SYSGOOD_EXITKILL = 1 | 0x100000
_ENTRY = 1


def _ptrace(request: int, pid: int, address: object = None, data: object = None) -> None:
    libc = ctypes.CDLL(None, use_errno=True)
    libc.ptrace.argtypes = [ctypes.c_long, ctypes.c_long, ctypes.c_void_p, ctypes.c_void_p]
    libc.ptrace.restype = ctypes.c_long
    if libc.ptrace(request, pid, address, data) < 0:
        raise OSError(ctypes.get_errno(), os.strerror(ctypes.get_errno()))


def traced(program: Callable[[], None], kill_at: int | None = None) -> list[str]:
    """Run a program in a child, up to its nth change of a file.

    Parameters
    ----------
    program : callable
        Runs in the child; it may replace it (``os.exec``).
    kill_at : int, optional
        Kill it just before this change, from 1; None lets it run to its end.

    Returns
    -------
    list of str
        The changes that it came to, in order; the last one was not done where it was killed.

    Raises
    ------
    RuntimeError
        If the program failed by itself.
    """
    pid = os.fork()
    if pid == 0:
        status = 70
        try:
            _ptrace(_TRACEME, 0)
            os.kill(os.getpid(), signal.SIGSTOP)
            program()
            status = 0
        finally:
            os._exit(status)
    os.waitpid(pid, 0)
    _ptrace(_SETOPTIONS, pid, None, _SYSGOOD_EXITKILL)
    info = ctypes.create_string_buffer(88)
    changes: list[str] = []
    deliver = 0
    while True:
        _ptrace(_SYSCALL, pid, None, deliver)
        _, status = os.waitpid(pid, 0)
        deliver = 0
        if os.WIFSIGNALED(status):
            return changes
        if os.WIFEXITED(status):
            if os.WEXITSTATUS(status):
                raise RuntimeError(f"the program failed with {os.WEXITSTATUS(status)}")
            return changes
        stop = os.WSTOPSIG(status)
        if stop == signal.SIGTRAP | 0x80:
            _ptrace(_GET_SYSCALL_INFO, pid, ctypes.c_void_p(88), ctypes.cast(info, ctypes.c_void_p))
            number = struct.unpack_from("=Q", info.raw, 24)[0]
            if info.raw[0] == _ENTRY and number in CALLS:
                changes.append(CALLS[number])
                if len(changes) == kill_at:
                    os.kill(pid, signal.SIGKILL)
                    os.waitpid(pid, 0)
                    return changes
        elif stop != signal.SIGTRAP:
            deliver = stop


def can_trace() -> bool:
    """Tell whether this machine lets a program be traced by its parent."""
    if not CALLS:
        return False
    try:
        return traced(lambda: None) == []
    except OSError:
        return False
