"""However a run ends: one line, the right exit code, nothing left behind."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from asking import ask, everything

import thermo

ROOT = Path(thermo.__file__).parents[1]
QUICK = ("heat", "mercury.toml", "--accuracy", "quick", "--no-pictures", "--members", "0")
POSIX = pytest.mark.skipif(os.name != "posix", reason="signals and shells of POSIX")
STARTED = "import thermo.study.pool as pool\npool.START = {!r}\nfrom thermo.__main__ import main\n"


def brazeclock(*words, start="-m thermo", **options):
    where = {"PYTHONPATH": str(ROOT), "PYTHONWARNINGS": "ignore"}
    return subprocess.Popen(
        [sys.executable, *start.split(" "), *words],
        stdout=options.pop("stdout", subprocess.PIPE),
        stderr=subprocess.PIPE,
        text=True,
        env=os.environ | where,
        **options,
    )


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no such device here")
@pytest.mark.parametrize("words", [("list", "solids"), ("--help",), ("heat", "--help")])
@pytest.mark.parametrize("start", ["-m thermo"])
def test_a_full_disk_on_stdout(place, words, start):
    with open("/dev/full", "w") as full:
        run = brazeclock(*words, start=start, stdout=full)
        err = run.communicate()[1]
    assert (run.returncode, err.count("\n")) == (1, 1)
    assert err.startswith("Error: cannot print to stdout: No space left")


@POSIX
@pytest.mark.parametrize("words", [("list", "solids"), ("--help",), (*QUICK, "--json")])
def test_a_pipe_that_nobody_reads(place, words):
    reading, writing = os.pipe()
    os.close(reading)
    run = brazeclock(*words, stdout=writing)
    os.close(writing)
    err = run.communicate()[1]
    assert (run.returncode, err) == (1, "Error: cannot print to stdout: Broken pipe\n")


@POSIX
def test_a_closed_stdout_is_told_before_the_run(place):
    script = f'"{sys.executable}" -m thermo {" ".join(QUICK)} >&-'
    done = subprocess.run(
        ["sh", "-c", script], capture_output=True, text=True, env=os.environ | {"PYTHONPATH": ROOT}
    )
    assert done.returncode == 1
    assert done.stderr == "Error: stdout is closed: there is nowhere to print to\n"
    assert everything(place) == ["mercury.toml"]


@POSIX
def test_a_closed_stderr_is_no_fault(place):
    script = f'"{sys.executable}" -m thermo {" ".join(QUICK)} --json 2>&-'
    done = subprocess.run(
        ["sh", "-c", script], capture_output=True, text=True, env=os.environ | {"PYTHONPATH": ROOT}
    )
    assert done.returncode == 0
    assert done.stdout.startswith("{")


def test_debug_shows_the_traceback(place):
    plain = ask("heat", "none.toml")
    for words in (("--debug", "heat", "none.toml"), ("heat", "none.toml", "--debug")):
        answer = ask(*words)
        assert answer.exit_code == 2
        assert answer.stderr.startswith("Traceback")
        assert "CaseError" in answer.stderr
        assert answer.stderr.endswith(plain.stderr)


INTERRUPTED = """
import builtins, os, signal, sys

real = builtins.__import__
def importing(name, *args, **options):
    if name == {name!r}:
        builtins.__import__ = real
        os.kill(os.getpid(), {number})
    return real(name, *args, **options)
builtins.__import__ = importing
from thermo.__main__ import main
sys.argv = {words!r}
main()
"""


@POSIX
@pytest.mark.parametrize(
    ("number", "words"), [(signal.SIGINT, "Stopped by Ctrl-C."), (signal.SIGTERM, "SIGTERM")]
)
@pytest.mark.parametrize("name", ["click", "thermo.files", "scipy.sparse", "matplotlib"])
def test_a_signal_during_imports(place, name, number, words):
    words_given = ["brazeclock", *(word for word in QUICK if word != "--no-pictures")]
    script = INTERRUPTED.format(name=name, number=int(number), words=words_given)
    run = brazeclock(script, start="-c")
    out, err = run.communicate()
    assert run.returncode == 128 + number
    assert out == ""
    assert words in err
    assert len(err.strip().splitlines()) == 1
    assert everything(place) == ["mercury.toml"]


def children(pid):
    try:
        return [int(n) for n in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]
    except OSError:
        return []


def alive(pid):
    """Whether a process runs; one that waits for its parent to ask after it does not."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0] not in "ZX"
    except OSError:
        return False


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="processes are listed in /proc")
@pytest.mark.parametrize(
    ("number", "start"), [("KILL", "fork"), ("KILL", "spawn"), ("TERM", "fork"), ("INT", "fork")]
)
def test_workers_end_with_their_parent(place, number, start):
    script = STARTED.format(start) + "if __name__ == '__main__':\n    main()\n"
    Path("go.py").write_text(script, encoding="utf-8")
    words = (
        "compare",
        "mercury.toml",
        "--accuracy",
        "fine",
        "--workers",
        "2",
        "--members",
        "0",
        "--json",
    )
    run = brazeclock(*words, start="go.py")
    wanted = 2 if start == "fork" else 3  # one more keeps count of what is shared
    late = time.monotonic() + 60
    while len(children(run.pid)) < wanted and run.poll() is None and time.monotonic() < late:
        time.sleep(0.01)
    workers = children(run.pid)
    assert len(workers) == wanted
    sent = getattr(signal, f"SIG{number}")
    run.send_signal(sent)
    try:
        out, err = run.communicate(timeout=30)  # until nobody holds stdout any more
        late = time.monotonic() + 30
        while any(map(alive, workers)) and time.monotonic() < late:
            time.sleep(0.01)
        assert not any(map(alive, workers))
    finally:
        for pid in filter(alive, workers):
            os.kill(pid, signal.SIGKILL)
    assert out == ""
    assert run.returncode == (-9 if number == "KILL" else 128 + sent)
    if number != "KILL":
        *foretold, last = err.splitlines()
        assert last == f"Stopped by {'Ctrl-C' if number == 'INT' else 'SIGTERM'}."
        assert len(foretold) == 1 and "may take some" in foretold[0]
