"""The fuzz: what it draws, that its checks bite, that a hang is an outcome; a short campaign."""

from __future__ import annotations

import json
import os
import time
import tomllib
from dataclasses import replace
from pathlib import Path
from random import Random

import numpy as np
import pytest

from thermo.braze.model import BrazeModel
from thermo.files import CaseError, findings, read_case, to_setup
from thermo.files.case import case_from_tables
from thermo.files.tables import Case, PhaseTable
from thermo.files.units import nested
from validation.fuzz import heat, report
from validation.fuzz.cases import as_toml, draw_case
from validation.fuzz.checks import faults
from validation.fuzz.inputs import CASE, COMMANDS, LEGAL, SPOILT, WILD, Input, draw_input
from validation.fuzz.runs import Outcome, run_all, run_command, run_twice
from validation.fuzz.spoil import spoil_tables, spoil_text

SEED = 6
EARTH = '[ball]\ndiameter_mm = 6\n[rod]\ndiameter_mm = 2.4\n[torch]\nkind = "pocket"\n'
HEAT = ("heat", CASE, "--json", "--accuracy", "quick")


def an_input(*words, kind=LEGAL, named="", text=EARTH):
    return Input(0, words or HEAT, {CASE: text.encode()}, kind, named, tomllib.loads(text))


def read_or_refuse(raw):
    """A case that is read gives a sound setup; one that is not says so in a few lines."""
    refused, case = (), None
    try:
        case = case_from_tables(raw, "options", "any", Path())
    except CaseError as refusal:
        refused = refusal.lines
    if case is None:
        assert 1 <= len(refused) <= 9
        assert all(line.startswith("options: ") for line in refused)
        return False
    setup = to_setup(case)
    assert setup.joint.clearance > 0 and setup.joint.insertion > 0
    assert np.isfinite(setup.torch.fuel_power)
    assert findings(case)
    return True


def test_legal_draws_are_written_as_drawn_and_most_are_read():
    drawn = [draw_case(Random(number)) for number in range(300)]
    assert [tomllib.loads(as_toml(case)) for case in drawn] == drawn
    assert sum(read_or_refuse(case) for case in drawn) > 240


def test_draws_reach_every_key_and_both_ends():
    drawn = [draw_case(Random(number)) for number in range(1500)]
    for name in Case.model_fields:
        model = nested(Case, name)
        if model is None or name == "strategy":
            continue
        keys = {key for case in drawn for key in case.get(name, ())}
        assert keys == set(model.model_fields) - {"torch_file"}, name
    phases = [p for case in drawn for way in case.get("strategy", ()) for p in way["phase"]]
    assert {key for phase in phases for key in phase} == set(PhaseTable.model_fields)
    sizes = {case["ball"]["diameter_mm"] for case in drawn}
    assert {1.0, 30.0} < sizes and {0.0, 2.0} < {
        c["flux"].get("coat_mm") for c in drawn if "flux" in c
    }


def test_spoilt_tables_are_refused_and_the_key_is_named():
    for number in range(300):
        rng = Random(number)
        raw, key = spoil_tables(rng, draw_case(rng))
        with pytest.raises(CaseError) as refusal:
            case_from_tables(raw, "options", "any", Path())
        assert key in str(refusal.value), (number, raw)


def test_spoilt_texts_are_read_or_refused(tmp_path):
    path, refused = tmp_path / CASE, 0
    for number in range(150):
        rng = Random(number)
        path.write_bytes(spoil_text(rng, as_toml(draw_case(rng)))[:20_000])
        try:
            read_case(path)
        except CaseError:
            refused += 1
    assert refused > 100


def test_inputs_are_the_same_for_a_seed_and_cover_all_commands():
    drawn = [draw_input(7, number) for number in range(200)]
    assert [draw_input(7, number) for number in range(200)] == drawn
    assert {one.command for one in drawn} == set(COMMANDS)
    assert {one.kind for one in drawn} == {LEGAL, SPOILT, WILD}
    assert draw_input(8, 3) != drawn[3]


DOCUMENT = {"schema": "brazeclock/heat/1"}


def answered(**parts):
    return Outcome("exit 0", json.dumps(DOCUMENT | parts))


def stages(**times):
    return [{"name": name, "time_s": time, "seen_s": None} for name, time in times.items()]


@pytest.mark.parametrize(
    ("found", "fails"),
    [
        (answered(), set()),
        (answered(stages=stages(solidus=2.0, liquidus=2.0, filled=None)), set()),
        (answered(stages=stages(solidus=2.1, liquidus=2.0)), {"stages"}),
        (answered(inner=[{"stages": stages(liquidus=9.0, solid=5.0)}]), {"stages"}),
        (answered(band={"low_s": 2.0, "high_s": 1.0}), {"bounds"}),
        (answered(wire_mm={"least": 2.0, "aim": 3.0, "most": 2.9}), {"bounds"}),
        (answered(energy={"residual": 2e-9}), {"ledger"}),
        (answered(energy={"residual": None}), {"ledger"}),
        (answered(value=float("nan")), {"document"}),
        (Outcome("exit 0", "{}"), {"document"}),
        (Outcome("exit 0", "heated\n"), {"document"}),
        (Outcome("exit 0", ""), {"silent", "document"}),
        (replace(answered(), stderr="by the way\n"), {"noise"}),
        (replace(answered(), warned=("RuntimeWarning: overflow",)), {"warning"}),
        (replace(answered(), same=False), {"repeat"}),
        (replace(answered(), worst={"coat": (0.9, 1.0, 0.4)}), {"outside: coat"}),
        (replace(answered(), worst={"coat": (0.7, 1.0, 0.4)}), set()),
        (replace(answered(), probed={"measured": "0", "more fuel": "later"}), {"more fuel"}),
        (Outcome("exit 1", stderr="Error: case.toml: the run failed\n"), {"failed run"}),
        (
            Outcome("exit 1", raised="Traceback", stderr="Error: case.toml"),
            {"failed run", "traceback"},
        ),
        (Outcome("exit 2", stderr="Error: case.toml: ball.diameter_mm = 0: more\n"), set()),
        (Outcome("exit 2", "{}", stderr="Error: case.toml: rod\n"), {"noise"}),
        (Outcome("exit 2", stderr="Error: something is wrong\n"), {"unnamed"}),
        (Outcome("exit 2", stderr="case.toml: rod\n"), {"message"}),
        (Outcome("exit 2", stderr="Error: case.toml: a\nError: case.toml: b\n"), {"message"}),
        (Outcome("exit 2", stderr=f"Error: case.toml: {'x' * 7000}\n"), {"message"}),
        (Outcome("exit 2", stderr="Error: case.toml: \x1b[31m\n"), {"raw letters"}),
        (Outcome("exit 3"), {"exit code", "message", "unnamed"}),
        (Outcome("hang"), {"hang"}),
        (Outcome("crash"), {"crash"}),
    ],
)
def test_checks(found, fails):
    assert set(faults(an_input(), found)) == fails


def test_a_fault_that_is_passed_over_or_not_named():
    given = an_input(*HEAT, kind=SPOILT, named="ball.colour")
    assert set(faults(given, answered())) == {"accepted"}
    told = Outcome("exit 2", stderr="Error: case.toml: ball is wrong\n")
    assert set(faults(given, told)) == {"unnamed"}


def hangs(given):
    time.sleep(60)


def spins(given):
    while True:
        pass


def dies(given):
    os._exit(3)


def swells(given):
    return Outcome(f"exit {len(bytearray(1 << 34))}")


def test_a_hang_and_a_crash_are_outcomes(capfd):
    began = time.monotonic()
    ends = [
        found.ended
        for work in (hangs, spins, dies, swells)
        for _, found in run_all([an_input(), an_input()], work, workers=2, limit_s=0.3)
    ]
    assert ends == ["hang"] * 4 + ["crash"] * 4
    assert time.monotonic() - began < 30
    assert "MemoryError" in capfd.readouterr().err


def test_excursions_see_filler_that_is_hotter_than_the_gas(monkeypatch):
    setup = to_setup(case_from_tables(tomllib.loads(EARTH), "options", "any", Path()))
    braze_model = BrazeModel(setup, [setup.strategy], "quick")
    y = braze_model.start()
    braze_model.heat.refresh(0.0, y)
    readings = braze_model.readings(0.0, y)
    found = heat.Excursions()
    found.take(braze_model, 0.0, readings)
    assert all(kelvin < 1e-3 for kelvin, *_ in found.worst.values())  # a table's rounding
    _, gas = heat.span_of(setup)
    monkeypatch.setattr(braze_model.filler_heat, "temperature", lambda filler_state: gas + 3.0)
    found.take(
        braze_model,
        0.5,
        replace(readings, layer=readings.layer - 5.0, metal=np.full_like(readings.metal, np.nan)),
    )
    assert found.worst["filler"] == pytest.approx((3.0, gas + 3.0, 0.5))
    assert found.worst["coat"][0] == pytest.approx(5.0)
    assert found.worst["surface"][0] == np.inf
    assert found.worst.get("cells", (0.0,))[0] < 1e-3


def test_a_repeat_looks_at_files_too(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    given = an_input("fill", CASE, "--no-pictures", "--out", "out")
    assert run_twice(given).same is True
    for folder in ("first", "second"):
        (tmp_path / folder / "left").write_text(folder)
    assert run_twice(given).same is False


def test_stages_apart_and_only_in_one(monkeypatch):
    times = [
        {"solidus": 10.0, "liquidus": 20.0},
        {"solidus": 10.29, "liquidus": 20.7, "filled": 30.0},
    ]
    monkeypatch.setattr(heat, "_times", lambda run: times[run])
    apart = heat._apart(0, 1, *heat.QUICK)
    assert apart == "liquidus 20.00 s, else 20.70 s; filled inf s, else 30.00 s"


def test_more_fuel_is_later_where_the_flame_does_not_reach(monkeypatch):
    setup = to_setup(case_from_tables(tomllib.loads(EARTH), "options", "any", Path()))
    assert heat._later(setup) == ""
    monkeypatch.setattr(heat, "FUEL", 0.5)
    assert "solidus" in heat._later(setup)


def test_shrunk_to_what_the_fault_needs():
    text = f'title = "Earth"\n{EARTH}[filler]\nplace = "fed"\nform = "sheet"\n[setting]\n'
    given = an_input("check", CASE, text=text)

    def fed(given):
        found = run_command(given)
        bad = found.ended == "exit 0" and b"fed" in given.files[CASE]
        return replace(found, warned=("fed",) if bad else ())

    small = report.shrunk(given, "warning", fed)
    assert small.case["filler"] == {"place": "fed"}
    assert set(small.case) == {"ball", "rod", "torch", "filler"}


def cheap(given):
    """Commands without heat, and whatever is spoilt."""
    return given.command in ("check", "fill", "list", "new") or given.kind != LEGAL


def braze(given):
    """A heat command that runs to its end in a moment."""
    plain = given.case is not None and not {"strategy", "second_ball"} & set(given.case)
    return given.command == "heat" and given.kind == LEGAL and plain and "normal" not in given.words


def test_short_campaign(tmp_path):
    """Over a hundred inputs over all commands, some of them brazes."""
    inputs = [draw_input(SEED, number) for number in range(300)]
    light = [one for one in inputs if cheap(one)][:110]
    brazes = [one for one in inputs if braze(one)][:4]
    found = report.Campaign()
    for given, outcome in run_all([*light, *brazes]):
        found.add(given, outcome, run_command)
    assert {name: text for name, ((_, text, _), *_) in found.failed.items()} == {}
    assert sum(found.totals.values()) == len(light) + len(brazes) > 100
    assert f"{len(light) + len(brazes)} inputs in 1 s" in found.write(tmp_path, 1.0)
    assert json.loads((tmp_path / "findings.json").read_text())["failed"] == {}
