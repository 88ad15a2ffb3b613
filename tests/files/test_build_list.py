"""Build lists as CSV and TOML; faults are told with part and key."""

import pytest

from thermo.files import CaseError
from thermo.files.build_list import read_build_list


def written(tmp_path, text, name="orrery.csv"):
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


def test_csv_and_toml_say_the_same(tmp_path):
    rows = read_build_list(
        written(tmp_path, "part,count,case,rod\nMoon,3,moon.toml,\n2,1,b.toml,arm\n")
    )
    assert [(row.part, row.count, row.case, row.rod) for row in rows.part] == [
        ("Moon", 3.0, "moon.toml", ""),
        ("2", 1.0, "b.toml", "arm"),
    ]
    text = 'loss = 0.2\n[[part]]\npart = "Moon"\ncount = 3\ncase = "moon.toml"\n'
    other = read_build_list(written(tmp_path, text, "list.toml"))
    assert other.part[0] == rows.part[0] and (other.loss, rows.loss) == (0.2, 0.1)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("part,count,case\n", "has no rows"),
        ("part,count,case\nMoon,0,moon.toml\n", "part[1].count = 0: must be between 1 and 1000"),
        ("part,count,case\nMoon,1.5,moon.toml\n", "part[1].count = 1.5: must be a whole number"),
        ("part,count,case\nMoon,two,moon.toml\n", 'part[1].count = "two": must be a number'),
        ("part,count\nMoon,2\n", "part[1].case: is missing"),
        ("part,count,cas\nMoon,2,moon.toml\n", "nearest known is case"),
    ],
)
def test_faults_are_told(tmp_path, text, told):
    with pytest.raises(CaseError) as fault:
        read_build_list(written(tmp_path, text))
    assert told in str(fault.value)
