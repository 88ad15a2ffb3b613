"""The way in: the command under guard, from its first import to the last letter printed."""

from __future__ import annotations

import errno
import gc
import io
import os
import sys

SELDOM = 100_000
"""Objects made, less those let go, between two looks for unused rings of them."""
STOPPED = 128
"""Exit codes above are those of signals."""


def main() -> None:
    """Run the command and exit; whatever happens ends in one line on stderr and an exit code.

    Python looks for unused rings of objects seldom, and not at all on leaving, where it would walk
    through every module: a run leaves few, and the looking took a tenth of its time.
    """
    gc.set_threshold(SELDOM)
    try:
        code = _answered()
    except KeyboardInterrupt as fault:
        from thermo.stopping import exit_code, last_words

        print(last_words(fault), file=sys.stderr)
        code = exit_code(fault)
    except OSError as fault:  # faults of the commands' work are told by them: this is of help
        print(f"Error: cannot print to stdout: {fault.strerror}", file=sys.stderr)
        code = 1
    gc.freeze()
    _leave(code)


def _answered() -> int:
    """The exit code, all said."""
    from thermo.stopping import listen

    listen()
    _open_streams()
    if sys.stdout is None:
        print("Error: stdout is closed: there is nowhere to print to", file=sys.stderr)
        return 1
    import click

    from thermo.cli import brazeclock

    stdout = sys.stdout
    try:
        code = brazeclock.main(prog_name="brazeclock", standalone_mode=False)
        sys.stdout.flush()
    except click.ClickException as fault:
        fault.show()
        return fault.exit_code
    except click.Abort as fault:
        raise KeyboardInterrupt from fault
    except SystemExit:
        if sys.stdout is not stdout:  # click's way with a pipe that nobody reads
            raise BrokenPipeError(errno.EPIPE, os.strerror(errno.EPIPE)) from None
        raise
    return code if isinstance(code, int) else 0


def _open_streams() -> None:
    """A screen that lacks a letter gets a question mark in its place; a closed stderr is none."""
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w")  # noqa: SIM115 - until the end
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def _leave(code: int) -> None:
    """Exit; what stdout holds yet and cannot take is let go.

    A run that was stopped leaves without waiting for the threads that talk to worker processes.
    """
    from thermo.stopping import deaf

    deaf()
    try:
        for stream in (sys.stdout, sys.stderr):
            if stream is not None:
                stream.flush()
    except OSError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    if code > STOPPED:
        os._exit(code)
    sys.exit(code)


if __name__ == "__main__":
    main()
