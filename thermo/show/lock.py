"""A lock between two runs, on a file; the system lets go of it when its holder ends."""

from __future__ import annotations

import contextlib
import errno
import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path

PATIENCE_S = 5.0
PAUSE_S = 0.05
HELD = (errno.EACCES, errno.EAGAIN, errno.EDEADLK)


class Busy(Exception):
    """Another run holds the lock."""


@contextlib.contextmanager
def locked(path: Path, patience_s: float = PATIENCE_S) -> Iterator[None]:
    """Hold a lock file, which is made with the folders above it where it is not there.

    Where the file system knows no locks, as some network shares, none is held.

    Parameters
    ----------
    path : Path
    patience_s : float
        How long to wait for another run [s].

    Raises
    ------
    Busy
        Another run holds it all this while.
    OSError
        It cannot be made or opened.
    """
    late = time.monotonic() + patience_s
    while True:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o666)
        try:
            if not _taken(handle):
                if time.monotonic() > late:
                    raise Busy
                time.sleep(PAUSE_S)
            elif _is_still(handle, path):
                yield
                return
        finally:
            os.close(handle)


def _is_still(handle: int, path: Path) -> bool:
    """Whether the open file lies there yet: a run that made nothing takes its lock file away."""
    try:
        return os.path.samestat(os.fstat(handle), os.stat(path))
    except FileNotFoundError:
        return False


if sys.platform == "win32":
    import msvcrt

    def _taken(handle: int) -> bool:
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError as fault:
            return fault.errno not in HELD
        return True
else:
    import fcntl

    def _taken(handle: int) -> bool:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as fault:
            return fault.errno not in HELD
        return True
