import pytest

from thermo.files import CaseError, read_case

SMALLEST = {
    "ball": ["diameter_mm = 6"],
    "rod": ["diameter_mm = 2.4"],
    "torch": ['kind = "pocket"'],
}


def case_text(**tables):
    """The smallest useful case, its tables replaced or joined by the ones given."""
    lines = []
    for name, keys in (SMALLEST | tables).items():
        lines += [f"[{name}]", *([keys] if isinstance(keys, str) else keys)]
    return "\n".join(lines)


@pytest.fixture
def write(tmp_path):
    """Write a case and give its path; tables of the smallest case may be replaced."""

    def write_case(text=None, name="planet.toml", **tables):
        path = tmp_path / name
        path.write_text(case_text(**tables) if text is None else text, encoding="utf-8")
        return path

    return write_case


@pytest.fixture
def read(write):
    """Read a case written from tables."""

    def read_tables(text=None, **tables):
        return read_case(write(text, **tables))

    return read_tables


@pytest.fixture
def refused(write):
    """Lines of the refusal of a case."""

    def lines_of(text=None, **tables):
        with pytest.raises(CaseError) as refusal:
            read_case(write(text, **tables))
        return refusal.value.lines

    return lines_of
