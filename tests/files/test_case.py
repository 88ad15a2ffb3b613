import subprocess
import sys
from pathlib import Path

import pytest

from thermo.files import CaseError, case_from_options, findings, read_case, to_setup
from thermo.files.errors import screened

CASES = Path(__file__).parents[2] / "cases"
BALL = "diameter_mm = 6"
ROD = "diameter_mm = 2.4"


def phase(*lines):
    """A case with one strategy of one phase."""
    head = ["[ball]", BALL, "[rod]", ROD, "[torch]", 'kind = "hand"']
    return "\n".join([*head, "[[strategy]]", 'name = "own"', "[[strategy.phase]]", *lines])


WRONG_VALUES = [
    # table, its lines, key = value, what the line must say
    ("ball", "diameter_mm = -6", "ball.diameter_mm = -6", "between 1 and 30 mm"),
    ("ball", "diameter_mm = 30.1", "ball.diameter_mm = 30.1", "between 1 and 30 mm"),
    ("ball", "diameter_mm = nan", "ball.diameter_mm = nan", "between 1 and 30 mm"),
    ("ball", "diameter_mm = inf", "ball.diameter_mm = inf", "between 1 and 30 mm"),
    ("ball", f"diameter_mm = 1{'0' * 400}", "(a huge whole number)", "between 1 and 30 mm"),
    ("ball", f"diameter_mm = 0x1{'0' * 5000}", "(a huge whole number)", "between 1 and 30 mm"),
    ("ball", f"diameter_in = 1{'0' * 400}", "(a huge whole number)", "between 1 and 30 mm"),
    ("ball", "diameter_mm = true", "ball.diameter_mm = true", "must be a number"),
    ("ball", 'diameter_mm = "6"', 'ball.diameter_mm = "6"', "must be a number"),
    ("ball", "diameter_mm = [6]", "ball.diameter_mm = [6]", "must be a number"),
    ("ball", "diameter_mm = 1979-05-27", "ball.diameter_mm = 1979-05-27", "must be a number"),
    ("ball", [BALL, 'hole = "square"'], 'ball.hole = "square"', '"blind", "through"'),
    ("ball", [BALL, 'material = "mithril"'], 'ball.material = "mithril"', "list solids"),
    ("ball", [BALL, 'material = "100Cr"'], 'ball.material = "100Cr"', "nearest known: 100Cr6"),
    ("ball", [BALL, "material = 3"], "ball.material = 3", "name in quotes"),
    ("ball", [BALL, "point_angle_deg = 59"], "ball.point_angle_deg = 59", "between 60 and 180"),
    ("ball", [BALL, "hole_diameter_mm = 5.9"], "ball.hole_diameter_mm = 5.9", "wall"),
    ("ball", [BALL, "hole_diameter_mm = 7"], "ball.hole_diameter_mm = 7", "ball (6 mm)"),
    ("ball", [BALL, "hole_depth_mm = 5.9"], "ball.hole_depth_mm = 5.9", "far side"),
    ("ball", [BALL, "hole_depth_mm = 5.2"], "ball.hole_depth_mm = 5.2", "needs 0.2 mm"),
    ("ball", [BALL, "hole_depth_mm = 0.2"], "ball.hole_depth_mm = 0.2", "before its mouth"),
    ("ball", [BALL, "flat_diameter_mm = 6"], "ball.flat_diameter_mm = 6", "narrower than the"),
    ("ball", [BALL, "flat_diameter_mm = 1"], "ball.flat_diameter_mm = 1", "wider than the hole"),
    ("ball", [BALL, "vent_diameter_mm = 3"], "ball.vent_diameter_mm = 3", "narrower than the"),
    (
        "ball",
        [BALL, 'hole = "through"', "vent_diameter_mm = 1"],
        "ball.vent_diameter_mm = 1",
        "its own vent",
    ),
    ("ball", [BALL, "thread_pitch_mm = 0.5"], "ball.thread_pitch_mm = 0.5", "only a threaded"),
    (
        "ball",
        [BALL, 'hole = "threaded"'],
        "ball.thread_pitch_mm",
        "no metric thread leaves this rod",
    ),
    (
        "ball",
        [BALL, 'hole = "threaded"', "hole_diameter_mm = 2.5"],
        "ball.thread_pitch_mm",
        "no metric thread of this diameter lets the rod in",
    ),
    (
        "ball",
        [BALL, 'hole = "threaded"', "hole_diameter_mm = 3", "thread_pitch_mm = 0"],
        "ball.thread_pitch_mm = 0",
        "pitch above 0",
    ),
    ("rod", "diameter_mm = 0.1", "rod.diameter_mm = 0.1", "between 0.3 and 12 mm"),
    ("rod", [ROD, "length_mm = 1"], "rod.length_mm = 1", "between 2 and 300 mm"),
    ("rod", [ROD, "eccentricity = 1"], "rod.eccentricity = 1", "at least 0 and below 1"),
    ("rod", [ROD, "stand_off_mm = 5"], "rod.stand_off_mm = 5", "does not reach into the hole"),
    ("rod", [ROD, 'far_end = "ball"'], 'rod.far_end = "ball"', "needs a table [second_ball]"),
    ("filler", 'alloy = "Ag 1566"', 'filler.alloy = "Ag 1566"', "nearest known: Ag 156"),
    ("filler", "solidus_C = 620", "filler.liquidus_C", "is missing"),
    ("filler", "liquidus_C = 655", "filler.solidus_C", "is missing"),
    (
        "filler",
        ["solidus_C = 660", "liquidus_C = 655"],
        "filler.solidus_C = 660",
        "below liquidus_C (655 °C)",
    ),
    (
        "filler",
        ['alloy = "Ag 156"', "solidus_C = 620", "liquidus_C = 655"],
        "filler.alloy",
        "not both",
    ),
    ("filler", 'length_mm = "long"', 'filler.length_mm = "long"', '"auto"'),
    ("flux", 'type = "FH100"', 'flux.type = "FH100"', "nearest known: FH10"),
    ("flux", "range_C = [800, 550]", "flux.range_C = [800, 550]", "low must be below high"),
    ("flux", "range_C = [800]", "flux.range_C = [800]", "must be a pair"),
    ("flux", "range_C = [550, true]", "flux.range_C = [550, true]", "must be a number"),
    ("flux", ['type = "FH10"', "range_C = [550, 800]"], "flux.type", "not both"),
    ("flux", "dried = 1", "flux.dried = 1", "true or false"),
    ("flux", "water_fraction = 1.5", "flux.water_fraction = 1.5", "between 0 and 0.8"),
    ("torch", 'kind = "giant"', 'torch.kind = "giant"', "list torches"),
    ("torch", 'fuel = "butane"', "torch.kind", "is missing"),
    ("torch", ['kind = "hand"', 'fuel = "peat"'], 'torch.fuel = "peat"', "list flames"),
    (
        "torch",
        ['kind = "hand"', "fuel_rate_g_per_h = -1"],
        "torch.fuel_rate_g_per_h = -1",
        "between 0 and 2000 g/h",
    ),
    ("torch", "torch_file = 3", "torch.torch_file = 3", "name of a torch file"),
    ("torch", 'torch_file = "gone.toml"', 'torch.torch_file = "gone.toml"', "no such file"),
    ("setting", "ambient_F = 212", "setting.ambient_F = 212", "is 100 °C: must be between -30"),
    ("setting", 'support = "air"', 'setting.support = "air"', '"brick-behind"'),
    ("clamp", "at_mm = 0.5", "clamp.at_mm = 0.5", "between 1 and 300 mm"),
    ("clamp", "at_mm = 41", "clamp.at_mm = 41", "beyond the rod's far end (40 mm"),
    ("clamp", "conductance_W_K = 5", "clamp.conductance_W_K = 5", "between 0.001 and 1 W/K"),
    ("uncertainty", "torch = 2", "uncertainty.torch = 2", "half-width"),
    ("uncertainty", "torch = [1.2, 0.8]", "uncertainty.torch = [1.2, 0.8]", "below high"),
    ("second_ball", "diameter_mm = 6", "second_ball.spacing_mm", "spacing_mm = 20"),
    ("second_ball", "spacing_mm = 2", "second_ball.spacing_mm = 2", "between 3 and 400 mm"),
    ("second_ball", "spacing_mm = 7.4", "second_ball.spacing_mm = 7.4", "give at least 7.5 mm"),
    ("second_ball", "spacing_mm = 310", "second_ball.spacing_mm = 310", "give at most 305.4 mm"),
    (
        "second_ball",
        ["spacing_mm = 20", "diameter_mm = 2.8"],
        "second_ball.diameter_mm = 2.8",
        "wider than 2.8 mm",
    ),
    (
        "second_ball",
        ["spacing_mm = 20", 'filler = "Ag 1566"'],
        'second_ball.filler = "Ag 1566"',
        "nearest known: Ag 156",
    ),
    ("second_ball", ["spacing_mm = 20", "gap = 1"], "second_ball.gap = 1", "unknown key"),
]


@pytest.mark.parametrize(("table", "lines", "place", "rule"), WRONG_VALUES)
def test_wrong_value_is_told_with_file_key_value_and_rule(refused, table, lines, place, rule):
    told = refused(**{table: lines})
    assert len(told) == 1
    assert told[0].partition(": ")[0].endswith("planet.toml")
    assert place in told[0]
    assert rule in told[0]


def test_whole_sentence(write):
    path = write(ball="diameter_mm = -6")
    with pytest.raises(CaseError) as refusal:
        read_case(path)
    assert str(refusal.value) == (
        f"{path}: ball.diameter_mm = -6: must be between 1 and 30 mm; "
        "give the ball's diameter in millimetres"
    )


@pytest.mark.parametrize(
    ("lines", "place", "rule"),
    [
        (['until = "filled"'], "strategy[1].phase[1].max_s", "is missing"),
        (["max_s = 10"], "strategy[1].phase[1].until", "is missing"),
        (['until = "molten"', "max_s = 10"], 'until = "molten"', '"flux-clear"'),
        (["until = 20", "max_s = 10"], "until = 20", "not be beyond max_s (10 s)"),
        (["until = 4000"], "until = 4000", "between 0.1 and 3600 s"),
        (["until = 10", 'aim = "ear"'], 'aim = "ear"', '"mouth"'),
        (["until = 10", "aim = 41"], "aim = 41", "beyond the rod's far end"),
        (["until = 10", 'side = "left"'], 'side = "left"', '"opposite"'),
        (["until = 10", "distance = 12"], "distance = 12", "nearest known is distance_"),
        (["until = 10", 'motion = "dance"'], 'motion = "dance"', '"sweep"'),
        (["until = 10", "speed = 1"], "speed = 1", "unknown key"),
        (["until = 10", "period_s = 0.4"], "period_s = 0.4", "between 0.5 and 60 s"),
    ],
)
def test_wrong_phase(refused, lines, place, rule):
    told = refused(phase(*lines))
    assert len(told) == 1
    assert place in told[0]
    assert rule in told[0]


def test_phases_have_an_hour_together(refused, write):
    first, more = phase("until = 1800"), '\n[[strategy.phase]]\nuntil = "filled"\nmax_s = '
    told = refused(f"{first}{more}1801")
    assert len(told) == 1
    assert "strategy[1].phase[2].max_s = 1801: the phases take up to 3601 s together" in told[0]
    assert "3600 s for all of them at most" in told[0]
    assert read_case(write(f"{first}{more}1800")).strategy[0].phase[1].max_s == 1800


def test_strategies_need_names_of_their_own(refused):
    one = '[[strategy]]\nname = "own"\n[[strategy.phase]]\nuntil = 3\n'
    told = refused(phase("until = 10") + "\n" + one)
    assert 'strategy[2].name = "own"' in told[0]
    assert "blank" in refused(phase("until = 10") + "\n" + one.replace("own", " "))[0]
    assert "at least one" in refused(phase("until = 1") + '\n[[strategy]]\nname="b"\nphase=[]')[0]


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("", "is empty"),
        (" \n", "is empty"),
        ("# only a comment", "nothing but comments"),
        ("[ball]\ndiameter_mm = = 6", "not valid TOML"),
        ("[ball]\ndiameter_mm = = 6", "at line 2"),
        (f"x = {'9' * 5000}", "not valid TOML"),
        (f"x = {'[' * 3000}{']' * 3000}", "more than 8 deep"),
        ("#" * 200_001, "holds 200,001 bytes; no more than 200,000 are read"),
    ],
)
def test_not_a_case(refused, text, rule):
    told = refused(text)
    assert len(told) == 1
    assert rule in told[0]


def test_reading_and_checking_load_no_heavy_library():
    heavy = {"scipy", "matplotlib", "fipy"}
    code = (
        "import sys; from thermo.files import *; findings(case_from_options(6, 2.4, 'pocket'));"
        f"print(sorted({heavy} & set(sys.modules)))"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"


def test_missing_file_folder_and_bytes(tmp_path):
    for path, rule in [
        (tmp_path / "none.toml", "no such file"),
        (tmp_path, "is a folder"),
        (tmp_path / "bytes.toml", "not UTF-8"),
        (tmp_path / ("x" * 300), ""),
        ("nul\0.toml", ""),
    ]:
        (tmp_path / "bytes.toml").write_bytes(b"title = '\xff'")
        with pytest.raises(CaseError) as refusal:
            read_case(path)
        assert rule in refusal.value.lines[0]
        assert refusal.value.lines[0].startswith(f"{screened(str(path))}: ")


def test_byte_order_mark_is_no_fault(tmp_path, write):
    path = tmp_path / "marked.toml"
    path.write_bytes(b"\xef\xbb\xbf" + write().read_bytes())
    assert read_case(path).ball.diameter_mm == 6


@pytest.mark.parametrize(
    ("tables", "place", "near"),
    [
        ({"ball": [BALL, "material_ = 1"]}, "ball.material_ = 1", "material"),
        ({"ball": [BALL, "diametre_in = 1"]}, "ball.diametre_in = 1", "diameter_in"),
        ({"rod": [ROD, "lenght_mm = 4"]}, "rod.lenght_mm = 4", "length_mm"),
        ({"fluxx": "coat_mm = 1"}, "fluxx = {...}", "flux"),
        ({"torch": ['kind = "hand"', 'fule = "propane"']}, 'torch.fule = "propane"', "fuel"),
        ({"ball": [BALL, '"a\\nb" = 1']}, 'ball."a\\nb" = 1', ""),
        ({"ball": [BALL, "assumed = 1"]}, "ball.assumed = 1", ""),
        ({"_assumed": "x = 1"}, "_assumed = {...}", ""),
    ],
)
def test_unknown_key_names_the_nearest(refused, tables, place, near):
    told = refused(**tables)
    assert len(told) == 1
    assert f"{place}: unknown" in told[0]
    assert near in told[0].partition("nearest known is ")[2]


def test_all_faults_in_one_message_and_no_more_than_nine_lines(refused):
    told = refused(
        ball=["diameter_mm = 0", "hole = 3", "a = 1", "b = 1", "c = 1", "d = 1"],
        rod=["diameter_mm = 0", 'material = "wood"', "e = 1", "f = 1"],
    )
    assert len(told) == 9
    assert "and 2 more" in told[-1]


def test_faults_of_the_torch_file_are_told_with_its_name(write, refused):
    write('title = "t"\n[torch]\nfuel_rate_g_per_h = -3\n', name="own.toml")
    told = refused(torch='torch_file = "own.toml"')
    assert "planet.toml: torch.torch_file" in told[0]
    assert "own.toml: torch.fuel_rate_g_per_h = -3: must be between 0 and 2000 g/h" in told[0]


@pytest.mark.parametrize("text", ["x = 1", "[torch]\ntorch_file = 'own.toml'", "torch = 3"])
def test_torch_file_holds_a_torch_and_nothing_else(write, refused, text):
    write(text, name="own.toml")
    assert "own.toml" in refused(torch='torch_file = "own.toml"')[0]


def test_case_overrides_its_torch_file(write, read):
    write(
        '[torch]\nkind = "pencil"\nfuel_rate_g_per_h = 33\n'
        "transfer_factor = 0.8\nnozzle_in = 0.25\n",
        name="own.toml",
    )
    case = read(torch=['torch_file = "own.toml"', "fuel_rate_g_per_h = 40"])
    assert (case.torch.kind, case.torch.fuel_rate_g_per_h) == ("pencil", 40)
    assert case.torch.transfer_factor == 0.8
    assert case.torch.nozzle_mm == pytest.approx(6.35)
    assert not [item for item in case.assumed if item.key == "torch.transfer_factor"]


def test_torch_by_its_own_numbers_takes_the_nearest_kind(read):
    case = read(torch=['fuel = "propane"', "fuel_rate_g_per_h = 140", "nozzle_mm = 10"])
    assert (case.torch.kind, case.torch.fuel) == ("hand", "propane")
    assert "torch.kind" in [item.key for item in case.assumed]


OWN = {
    "fuel_rate_g_per_h": 60,
    "nozzle_mm": 6,
    "cone_mm": 8,
    "tip_temperature_C": 1900,
    "primary_air": 0.8,
}


def own_torch(fuel, *without):
    given = [f"{key} = {value}" for key, value in OWN.items() if key not in without]
    return [f'fuel = "{fuel}"', *given]


@pytest.mark.parametrize("fuel", ["acetylene", "Hydrogen"])
@pytest.mark.parametrize("kind", [[], ['kind = "hand"']])
def test_a_fuel_no_usual_torch_stands_for_needs_the_torchs_own_numbers(refused, fuel, kind):
    told = refused(torch=[*kind, f'fuel = "{fuel}"'])
    assert [line.split(": ")[1] for line in told] == [f"torch.{key}" for key in OWN]
    assert all(f"burns {fuel.lower()}: " in line for line in told)
    for key in OWN:
        told = refused(torch=[*kind, *own_torch(fuel, key)])
        assert len(told) == 1
        assert f"torch.{key}: is missing" in told[0]


def test_a_torch_of_own_numbers_is_taken_as_given(read):
    case = read(torch=own_torch("acetylene"))
    assert {key: getattr(case.torch, key) for key in OWN} == OWN
    assert {item.key for item in case.assumed if item.key.startswith("torch.")} == {
        "torch.kind",
        "torch.gas_temperature_factor",
        "torch.transfer_factor",
    }


def test_the_nearest_kind_is_found_by_heat(read):
    """60 g/h of hydrogen give 2 kW, as a hand torch's 160 g/h of propane; of butane a pencil's."""
    assert read(torch=own_torch("hydrogen")).torch.kind == "hand"
    assert read(torch=own_torch("butane")).torch.kind == "pencil"


def test_a_fuel_without_a_name_known_is_told_once(refused):
    assert len(refused(torch=own_torch("peat"))) == 1


def test_options_give_the_same_case_as_the_smallest_file(read):
    case = case_from_options(6, 2.4, "pocket")
    assert case.model_dump() == read().model_dump()
    assert (case.source, case.name) == ("options", "ball-6mm-rod-2.4mm")
    assert case.title == "6 mm ball on a 2.4 mm rod"


def test_options_are_checked_and_may_name_alloy_flux_and_torch_file():
    with pytest.raises(CaseError, match=r"options: ball.diameter_mm = -6: must be between"):
        case_from_options(-6, 2.4, "pocket")
    with pytest.raises(CaseError, match=r"options: torch.kind = .*giant"):
        case_from_options(6, 2.4, "giant")
    torch = str(CASES / "torches" / "pocket-torch.toml")
    case = case_from_options(6, 2.4, torch, filler="bag 36", flux="fh12")
    assert (case.filler.alloy, case.flux.type, case.torch.kind) == ("Ag 145", "FH12", "pocket")


ORRERY = sorted(CASES.glob("*.toml"))


def test_the_orrery_has_every_size():
    sizes = {read_case(path).ball.diameter_mm for path in ORRERY}
    assert {3.0, 6.0, 12.0} <= sizes


@pytest.mark.parametrize("path", ORRERY, ids=lambda path: path.stem)
def test_cases_of_the_orrery_are_sound(path):
    case = read_case(path)
    assert case.name == path.stem
    assert to_setup(case).title == case.title
    unusual = [finding.text for finding in findings(case) if finding.level == "unusual"]
    beyond_the_torch = path.stem == "jupiter-12mm"
    assert len(unusual) == beyond_the_torch
    assert all("pocket torch" in text for text in unusual)
