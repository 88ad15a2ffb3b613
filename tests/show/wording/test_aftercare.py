"""What comes after the flame, for joints of several kinds on the coarsest mesh."""

from dataclasses import replace
from pathlib import Path

import pytest

from thermo.braze import amount, braze, brazes
from thermo.braze.filler.outcome import Dry
from thermo.files import read_case, to_setup
from thermo.matter import get_filler, get_flux, get_solid
from thermo.show.wording.after import steps

CASES = Path(__file__).parents[3] / "cases"


class after:  # noqa: N801
    """What a braze leaves behind, and the steps that follow from it."""

    def __init__(self, run):
        self.steps = steps(run)
        vars(self).update(vars(run.aftercare))


def texts(found, topic):
    return [step.text for step in found.steps if step.topic == topic]


@pytest.fixture(scope="module")
def earth():
    return to_setup(read_case(CASES / "earth-6mm.toml"))


@pytest.fixture(scope="module")
def cold(earth):
    """The same joint under a torch of no power."""
    return replace(earth, torch=replace(earth.torch, fuel_rate=0.0))


def with_limit(run, name, value):
    """The same run with one limit's value, passed or not as it then is."""
    return replace(
        run,
        limits=tuple(
            replace(x, value=value, time_s=1.0 if value >= x.limit else None)
            if x.name == name
            else x
            for x in run.limits
        ),
    )


def as_if(run, **changes):
    return replace(run, setup=replace(run.setup, **changes))


@pytest.fixture(scope="module")
def run(earth):
    return braze(earth, "quick")


@pytest.fixture(scope="module")
def full(earth):
    """A joint without a hollow: drilled through, filler opposite the flame."""
    joint = replace(earth.joint, hole="through", vent_diameter=0.0)
    return braze(replace(earth, joint=joint), "quick")


def test_a_hollow_bottom_forbids_acid(run, earth):
    found = after(run)
    assert run.filler.dry is None
    assert found.hollow == pytest.approx(amount(earth).hot.bottom)
    assert not found.pickle
    assert not texts(found, "pickle")
    told, rinse = texts(found, "hollow")
    assert told.startswith("Do not pickle: 1.3 mm³ at the hole's bottom")
    assert "33 % of its pressure" in told  # 293 K over 893 K
    assert "bake it dry" in rinse
    filled = replace(run.filler, poured=replace(run.filler.poured, bottom=found.hollow))
    assert after(replace(run, filler=filled)).pickle


def test_a_dry_place_forbids_acid(full):
    assert after(full).pickle
    dry = replace(full, filler=replace(full.filler, dry=Dry(0.12, 0.5, None)))
    found = after(dry)
    assert not found.pickle
    assert "12 % of the gap stayed dry" in texts(found, "hollow")[0]
    assert any("add filler" in text for text in texts(found, "again"))


def test_acid_comes_with_its_cautions(full):
    found = after(full)
    pickle = " ".join(texts(found, "pickle"))
    for words in (
        "into water, never water into acid",
        "face shield",
        "gloves",
        "never hydrofluoric",
        "fresh air",
        "neutralise",
        "local codes",
        "licensed practice",
        "hydrogen",
        "not called for by this run",
    ):
        assert words in pickle
    cold = next(step for step in found.steps if step.topic == "pickle")
    assert cold.when_s == full.cooling.touch_s
    soft = as_if(full, ball=get_solid("carbon-steel"))
    soft = replace(soft, limits=tuple(x for x in soft.limits if x.name != "ball hardens again"))
    assert "hydrogen" not in " ".join(texts(after(soft), "pickle"))


def test_black_flux_calls_for_acid(full):
    black = with_limit(full, "flux at the mouth spent", 120.0)
    found = after(black)
    assert found.black and not after(full).black
    assert any("black or green" in text for text in texts(found, "wash"))
    assert texts(found, "pickle")[0].startswith("What water leaves comes off in acid")
    assert any("120 % of its life" in text for text in texts(found, "again"))
    assert after(with_limit(full, "flux above its range", 900.0)).black


def test_washing_goes_by_the_class_of_flux(full):
    for name in ("FH10", "FH12", "FH20", "FB3-A", "FB3-D"):
        (text,) = texts(after(as_if(full, flux=get_flux(name))), "wash")
        assert "50 °C or hotter" in text
        assert ("is taken to corrode" in text) == (name == "FB3-D")
    (glass,) = texts(after(as_if(full, flux=get_flux("FH21"))), "wash")
    assert "chip, brush or blast" in glass
    bare = as_if(full, coat=replace(full.setup.coat, thickness=0.0))
    assert texts(after(bare), "wash") == ["No flux was used: no residue to wash off."]
    assert not texts(after(bare), "pickle")


def test_water_waits_until_nothing_glows_and_longer_for_unlike_metals(full):
    def washed(run):
        return next(step.when_s for step in after(run).steps if step.topic == "wash")

    assert washed(full) == full.cooling.touch_s > full.stage("wash").time_s
    unlike = as_if(full, rod=get_solid("stainless"))
    assert washed(unlike) == full.cooling.touch_s
    (told,) = texts(after(unlike), "cool")
    at_C = full.setup.filler.solidus_C
    apart = get_solid("stainless").elongation(at_C) - full.setup.ball.elongation(at_C)
    assert f"{1e6 * apart * full.setup.joint.rod_diameter:.1f} µm" in told


def test_steel_hardens_from_the_low_end_of_its_transformation(run):
    soft, near, hard = (
        after(with_limit(run, "ball hardens again", value)) for value in (729.0, 731.0, 746.0)
    )
    assert [found.hardened for found in (soft, near, hard)] == [(), ("ball",), ("ball",)]
    assert "may have hardened" not in texts(soft, "hardness")[0]
    assert "may have hardened all the same" in texts(near, "hardness")[0]
    assert f"{run.cooling.rate_K_s:.2g} K/s" in texts(hard, "hardness")[0]
    assert any("hardens again if" in text for text in texts(hard, "again"))
    assert texts(near, "cool") == ["Not into water above 500 °C: the ball may harden and crack."]
    assert not texts(soft, "cool")


def test_zinc_on_stainless_and_zinc_gone(full):
    assert not texts(after(full), "corrosion")
    stainless = as_if(full, rod=get_solid("stainless"))
    assert "zinc" in texts(after(stainless), "corrosion")[0]
    free = as_if(full, rod=get_solid("stainless"), filler=get_filler("Ag 463"))
    assert not texts(after(free), "corrosion")
    hot = with_limit(full, "filler overheated", 770.0)
    assert any("Zinc was driven off" in text for text in texts(after(hot), "again"))
    assert not any("Zinc" in text for text in texts(after(full), "again"))


def test_filler_that_never_melted_holds_nothing(cold):
    found = after(braze(cold, "quick"))
    assert texts(found, "cool")[0].startswith("The filler never melted")
    assert not found.pickle
    assert all(step.when_s is None for step in found.steps)


def test_without_cooling_no_times_are_told(earth):
    (run,) = brazes(earth, [earth.strategy], "quick")
    assert all(step.when_s is None for step in after(run).steps)


def test_a_second_joint_is_told_of(earth):
    joint = replace(earth.joint, second_ball_diameter=6e-3, rod_length=20e-3)
    two = braze(replace(earth, joint=joint, second_filler=earth.filler), "quick")
    assert any("second joint" in text for text in texts(after(two), "again"))


def test_every_step_names_its_source_and_none_is_called_safe(run, full):
    for found in (after(run), after(full)):
        assert all(step.source for step in found.steps)
        assert not any("safe" in step.text.casefold() for step in found.steps)
