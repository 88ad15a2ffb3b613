"""Files made to choke what reads them: refused in one line each, or read, in little memory."""

import os
import resource
import subprocess
import sys
from pathlib import Path

import pytest

import thermo
from thermo.files import CaseError, read_case, reading
from thermo.files.errors import LONGEST_LINE, MOST_LINES, screened, shortened

MEMORY, CPU_S = 1_500_000_000, 20
REST = '[ball]\ndiameter_mm = 3\n[rod]\ndiameter_mm = 1.2\n[torch]\nkind = "pocket"\n'
TRY = (
    "import sys\nfrom thermo.files import CaseError, read_case\n"
    "try: read_case(sys.argv[1])\n"
    "except CaseError as fault: print(fault)\n"
    "else: print('read')"
)
NESTED = "more than 8 deep"
FILES = {
    "key of many parts": ("a." * 99_000 + "a = 1", NESTED),
    "table of many parts": ("[" + "a." * 90_000 + "a]", NESTED),
    "quoted parts": (".".join(['"a"'] * 40_000) + " = 1", NESTED),
    "parts between blanks": ("a . " * 40_000 + "a = 1", NESTED),
    "arrays in arrays": ("x = " + "[" * 90_000 + "]" * 90_000, NESTED),
    "tables in tables": ("x = " + "{a=" * 40_000, NESTED),
    "dots after a text": ('x = "\\""\n' + "a." * 90_000 + "a = 1", NESTED),
    "unknown keys": (
        REST + "".join(f"{n:x}=1\n" for n in range(22_000)),
        "21992 more of the kind",
    ),
    "open text of quotes": ('x = "' + '\\"' * 90_000, "not valid TOML"),
    "open long text of quotes": ('x = """' + '\\"""' * 40_000, "not valid TOML"),
    "quotes": ("x = " + "'" * 190_001, "not valid TOML"),
    "many digits": (f"x = {'9' * 190_000}", "a whole number has thousands of digits"),
    "many hexadecimal digits": (f"x = 0x{'f' * 190_000}", "(a huge whole number)"),
    "long key": ("y" * 190_000 + " = 1", "unknown key"),
    "long value": ('title = "' + "y" * 190_000 + '"', "200 characters"),
    "nul": (REST + "\0", "not valid TOML"),
    "UTF-16": (REST.encode("utf-16"), "is not UTF-8 text (byte 0)"),
    "too large": ("#" * 200_001, "holds 200,001 bytes"),
}


def limited():
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (CPU_S, CPU_S))


def answer(path):
    """What reading a file comes to, in a process of little memory and time."""
    run = subprocess.run(
        [sys.executable, "-c", TRY, str(path)],
        capture_output=True,
        text=True,
        cwd=Path(thermo.__file__).parents[1],
        preexec_fn=limited,
    )
    assert run.stderr == ""
    assert run.returncode == 0
    return run.stdout


@pytest.mark.parametrize("name", FILES)
def test_a_hostile_file_is_refused(tmp_path, name):
    content, rule = FILES[name]
    path = tmp_path / "hostile.toml"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    told = answer(path)
    assert rule in told
    assert len(told.splitlines()) <= 9
    assert all(len(line) <= LONGEST_LINE + 5 for line in told.splitlines())


def test_a_known_key_is_sought_for_the_lines_that_are_told_only(write, monkeypatch):
    sought = []
    monkeypatch.setattr(reading, "nearest", lambda model, place: sought.append(place))
    with pytest.raises(CaseError):
        read_case(write("".join(f"{n:x}=1\n" for n in range(100)) + REST))
    assert len(sought) == MOST_LINES


def test_a_torch_file_is_looked_at_as_well(tmp_path):
    (tmp_path / "torch.toml").write_text("a." * 90_000 + "a = 1", encoding="utf-8")
    path = tmp_path / "case.toml"
    path.write_text(REST.replace("kind", "torch_file").replace("pocket", "torch.toml"))
    assert NESTED in answer(path)


def test_pipes_and_devices_are_not_read(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    for path in (tmp_path / "pipe", Path("/dev/zero")):
        assert "is a pipe or a device" in answer(path)


def test_dots_and_brackets_in_texts_are_no_fault(write):
    dots = "......................... [[[[[[[[[[[[[[["
    head = f'title = "{dots} \\" #"\nnote = """\n{dots} \' "\n"""\n# {dots}\n'
    assert read_case(write(head + REST)).title.startswith(dots)
    literal = f"title = '{dots}'\nnote = '''\n{dots}\n'''\n"
    assert read_case(write(literal + REST)).title == dots


@pytest.mark.parametrize("end", ["\r\n", "\r"])
def test_line_ends_of_other_systems_are_read(tmp_path, end):
    path = tmp_path / "ends.toml"
    path.write_bytes(REST.replace("\n", end).encode())
    assert read_case(path).ball.diameter_mm == 3


def test_nothing_that_steers_a_screen_is_in_a_message(write):
    evil = "\\u001b[31m\\u009b5m\\u202e\\u007f"
    text = f'"k{evil}" = 1\n{REST}[filler]\nalloy = "Ag{evil}"\n[flux]\n"f\\n{evil}" = 1\n'
    with pytest.raises(CaseError) as refusal:
        read_case(write(text, name="a\u202eb\x1b[2J.toml"))
    told = str(refusal.value)
    assert len(told.splitlines()) == 3
    assert all(line.isprintable() for line in told.splitlines())
    torch = REST.replace("kind", "torch_file").replace("pocket", evil)
    with pytest.raises(CaseError) as refusal:
        read_case(write(torch))
    assert str(refusal.value).isprintable()


def test_screened_keeps_letters_and_line_ends():
    assert screened("ä ° × …\n\x1b[1m\x9b\u202e\u2066\ud800\x7f\ta") == "ä ° × …\n [1m      a"


def test_shortened_keeps_both_ends():
    assert shortened("a" * LONGEST_LINE) == "a" * LONGEST_LINE
    line = shortened("file" + "a" * 10 * LONGEST_LINE + "rule")
    assert len(line) == LONGEST_LINE + 5
    assert line.startswith("file")
    assert line.endswith("rule")
