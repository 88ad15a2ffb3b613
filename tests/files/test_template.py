import re

from thermo.files import new_case_text, read_case
from thermo.files.tables import Case
from thermo.files.units import nested
from thermo.flame import default_strategies

LIVE = re.compile(r"^(?:# )?(\[{1,2}[a-z_.]+\]{1,2}|[A-Za-z_]+ = .*?)(?:\s+#.*)?$")
ALTERNATIVES = ("alloy", "type", "torch_file", "sheet_mm")


def opened_up():
    """The template with every commented line in use, but for what excludes something else."""
    lines = []
    for line in new_case_text().splitlines():
        match = LIVE.match(line)
        if match and match[1].partition(" ")[0] not in ALTERNATIVES:
            lines.append(match[1])
    return "\n".join(lines).replace('far_end = "free"', 'far_end = "ball"')


def test_template_is_a_case(write):
    case = read_case(write(new_case_text()))
    assert (case.ball.diameter_mm, case.rod.diameter_mm, case.torch.kind) == (6, 2.4, "pocket")


def test_template_shows_the_defaults(write, read):
    plain = read_case(write(new_case_text()))
    text = opened_up()
    text = text[: text.index("[uncertainty]")].replace('far_end = "ball"', 'far_end = "free"')
    text = re.sub(r"\[clamp\]\n.*\n.*\n|\[second_ball\]\n.*\n.*\n.*\n", "", text)
    text = re.sub(r"solidus_C.*\nliquidus_C.*\n|range_C.*\n|note = .*\n", "", text)
    opened = read_case(write(text))
    for table in ("ball", "rod", "torch", "setting", "filler", "flux"):
        assert getattr(opened, table) == getattr(plain, table)


def test_every_commented_line_is_legal(write):
    case = read_case(write(opened_up()))
    assert case.clamp.at_mm == 25
    assert case.second_ball.spacing_mm == 45.477
    assert [len(strategy.phase) for strategy in case.strategy] == [2]


def test_template_shows_every_key():
    text = new_case_text()
    for name in Case.model_fields:
        model = nested(Case, name)
        phases = nested(model, "phase") if name == "strategy" else model
        for key in phases.model_fields if phases else ():
            assert re.search(rf"^(# )?{key} = ", text, re.MULTILINE), (name, key)


def test_example_strategy_does_not_pass_for_one_of_ours(write):
    """Named apart from ours by more than a comma."""
    (own,) = read_case(write(opened_up())).strategy
    for name in default_strategies():
        assert re.sub(r"\W", "", own.name) != re.sub(r"\W", "", name)
