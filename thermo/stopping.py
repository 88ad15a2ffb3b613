"""Signals that ask a run to end: they unwind it like Ctrl-C, so that it ends in order."""

from __future__ import annotations

import signal
from types import FrameType

SIGNALS = [
    getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)
]


class Stopped(KeyboardInterrupt):
    """A signal asked the run to end.

    Parameters
    ----------
    number : int
        The signal.
    """

    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.number = number


class WorkerLost(Exception):
    """A worker process was ended from outside."""


def listen() -> None:
    """Raise `Stopped` in the main thread at each of `SIGNALS`, but for those that are ignored."""
    for number in SIGNALS:
        if signal.getsignal(number) is not signal.SIG_IGN:
            signal.signal(number, _stop)


def deaf() -> None:
    """Heed none of `SIGNALS` any more: the run is over."""
    for number in SIGNALS:
        signal.signal(number, signal.SIG_IGN)


def _stop(number: int, frame: FrameType | None) -> None:
    raise Stopped(number)


def exit_code(fault: KeyboardInterrupt) -> int:
    """128 and the signal's number, as shells have it: 130 for Ctrl-C."""
    return 128 + getattr(fault, "number", signal.SIGINT)


def last_words(fault: KeyboardInterrupt) -> str:
    """One line for who asked."""
    number = getattr(fault, "number", signal.SIGINT)
    by = "Ctrl-C" if number == signal.SIGINT else signal.Signals(number).name
    return f"Stopped by {by}."
