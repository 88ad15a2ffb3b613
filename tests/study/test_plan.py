"""A build: order, spares by the binomial, filler and gas that add up, a filler that would hold."""

from dataclasses import replace

import pytest
from asking import SMALLEST, values
from scipy.stats import binom

from thermo.files.build_list import BuildList, PartRow
from thermo.matter import filler_names, get_filler
from thermo.show.documents.plan import plan_document
from thermo.show.printing import as_text
from thermo.show.tables.plan import plan_log, plan_text
from thermo.study.plan import ABOVE_K, MOST_SPARES, holding, plan, spares


@pytest.fixture(scope="module")
def build(tmp_path_factory):
    folder = tmp_path_factory.mktemp("orrery")
    own = '[[strategy]]\nname = "own"\n[[strategy.phase]]\nuntil = "filled"\nmax_s = 60\n'
    (folder / "mercury.toml").write_text(SMALLEST + own, encoding="utf-8")
    harder = SMALLEST.replace("diameter_mm = 3", "diameter_mm = 4")
    (folder / "mars.toml").write_text(
        f'{harder}[filler]\nalloy = "Ag 140"\n{own}', encoding="utf-8"
    )
    rows = [
        PartRow(part="Mercury", count=3.0, case="mercury.toml", rod="arm"),
        PartRow(part="Mars", count=1.0, case="mars.toml", rod="arm"),
    ]
    return plan(BuildList(title="Orrery", part=rows), folder, "quick", 4, workers=1)


def test_higher_melting_filler_comes_first(build):
    assert [step.row.part for step in build.steps] == ["Mars", "Mercury"]
    first, second = (step.run.setup.filler.solidus_C for step in build.steps)
    assert first > second


def test_filler_flame_and_fuel_add_up(build):
    steps = {step.row.part: step for step in build.steps}
    mercury = steps["Mercury"]
    assert mercury.count == 3 + (mercury.spares or 0)
    assert mercury.flame_s == pytest.approx(mercury.count * mercury.run.off_s)
    assert mercury.fuel_kg == pytest.approx(mercury.flame_s * 20.0 / 3.6e6)
    total = sum(build.stock.values())
    assert total == pytest.approx(sum(1.1 * step.count * step.stock for step in build.steps))
    assert set(build.stock) == {("Ag 140", 0.5e-3, None), ("Ag 156", 0.5e-3, None)}


@pytest.mark.parametrize(("count", "well"), [(1, 0.9), (5, 0.8), (3, 0.6), (10, 0.97)])
def test_spares_are_the_fewest_that_are_enough(count, well):
    found = spares(count, well, 0.9)
    assert binom.sf(count - 1, count + found, well) >= 0.9
    assert found == 0 or binom.sf(count - 1, count + found - 1, well) < 0.9


def test_no_spares_help_where_hardly_a_joint_ends_well():
    assert spares(2, 0.0, 0.9) is None and spares(1, 1.0, 0.99) == 0
    assert spares(1, 0.01, 0.9) is None and MOST_SPARES < 100


def test_a_filler_that_holds_is_the_lowest_melting_and_has_no_cadmium():
    name = holding(620.0)
    found = get_filler(name)
    assert found.solidus_C >= 620.0 + ABOVE_K and not found.cadmium
    lower = [
        other
        for other in map(get_filler, filler_names())
        if not other.cadmium and other.solidus_C >= 620.0 + ABOVE_K
    ]
    assert found.liquidus_C == min(other.liquidus_C for other in lower)
    assert holding(3000.0) == ""


def test_text_log_and_document(build):
    text = " ".join(as_text(plan_text(build)).split())
    assert "4 joints" in text and "Filler to cut" in text and "Cautions:" in text
    assert "has no [second_ball]" in text  # they share a rod, and the case does not say how
    lines = plan_log(build).splitlines()
    assert len(lines) == 5 and lines[1].endswith("Mars 1")
    document = values(plan_document(build))
    assert [step["part"] for step in document["steps"]] == ["Mars", "Mercury"]
    assert document["flame_s"] == pytest.approx(sum(step.flame_s for step in build.steps))
    many = replace(build, steps=(replace(build.steps[0], spares=None), *build.steps[1:]))
    assert "ends well too seldom" in " ".join(as_text(plan_text(many)).split())
    assert values(plan_document(many))["steps"][0]["spares"] is None
