"""What is printed of the things an engineer handles: short, in the units of the bench."""

import thermo


def test_what_is_printed_is_short():
    setup = thermo.to_setup(thermo.case_from_options(3.0, 1.2, "pocket"))
    result = thermo.run_braze(setup, "quick")
    text = repr(result)
    assert len(text.splitlines()) == 4
    filled = result.stage(thermo.StageName.FILLED).time_s
    assert f"filled {filled:.1f} s" in text
    assert "settles never" in text
    passed = [limit for limit in result.limits if not limit.ok]
    assert all(limit.name in text for limit in passed)
    assert "<Mesh: " in repr(result.mesh)
    assert "across the 3 mm ball, half>" in repr(result.mesh)
    assert len(repr(setup)) < 400
    for limit in result.limits:
        assert ("holds" in repr(limit)) == limit.ok
    assert repr(thermo.Leeway(None, None, None, None, 0.0)) == "<Leeway: the gap never gets ready>"
    wide = thermo.Leeway(12.0, None, None, None, 30.0)
    assert repr(wide) == "<Leeway from 12.0 s: no limit met in 30 s>"
    spent = thermo.Leeway(12.0, 15.0, 3.0, thermo.LimitName.FLUX_SPENT, 30.0)
    assert repr(spent) == "<Leeway 12.0 to 15.0 s: flux at the mouth spent>"


def test_a_history_tells_its_times():
    mesh = thermo.build_mesh(thermo.Joint(3e-3, "blind", 1.3e-3, 1.8e-3, 1.2e-3, 10e-3), "quick")
    solid = thermo.ConstantSolid(50.0, 4e6)
    solids = {"ball": solid, "rod": solid}
    loads = [thermo.LinearLoss(10.0, 20.0)]
    found = thermo.march(
        mesh, solids=solids, gap_conductance=1e3, loads=loads, start_C=100.0, times=[1.0, 2.5]
    )
    assert repr(found) == f"<History: 1 run of {mesh.cells} cells at 2 times, 1 to 2.5 s>"
