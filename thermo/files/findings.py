"""What is usual about a case, what is not, and what to mind; nothing is computed over time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from thermo.files.checks import wall_beyond
from thermo.files.defaults import (
    HANDBOOK,
    NO_AZIMUTH,
    USUAL_COAT_MM,
    USUAL_GAP_MM,
    WIDEST_STRONG_GAP_MM,
)
from thermo.files.setup import (
    LEAST_COAT_MM,
    filler_of,
    flux_of,
    joint_of,
    second_filler_of,
    to_setup,
    torch_of,
)
from thermo.files.tables import COMMON, SURPLUS, Case
from thermo.flame import LEAST_CONE, Torch
from thermo.matter import Solid, constant, get_flame, get_solid, get_torch_kind
from thermo.shape import Joint

LAP = "lap balance d Ts / (4 C L) with C 0.8 and L 172 MPa of a filler handbook, Ts 400 MPa"
STRENGTH = "a published chart of butt joints in stainless steel with a cadmium filler"
TRIALS = "trial runs of this model"
FIT = "rooms of gap, bottom and fillet at the filler's liquidus"

STRONGEST_GAP_MM = 0.038
LEAST_INSERTION, GOOD_INSERTION = 1.0, 1.5
"""Rod diameters inside the hole (common practice, no source)."""
SHEAR_LAP = 400.0 / (4 * 0.8 * 172.0)
"""Insertion over rod diameter where the filler in shear is as strong as the rod (see `LAP`)."""
THIN_WALL_MM = 0.5
TRUSTED = 2.0
"""Times the right amount of filler up to which surplus hardly shows (trial runs of this model)."""
ROD_AHEAD_K = 100.0
"""How far a bare rod in the flame may run ahead of the ball (trial runs of this model)."""
WIDE_RANGE_K = 50.0
GRAMS_PER_HOUR = 3.6e6
CLAMP_STALLS_MM, CLAMP_FREE_MM = 10.0, 20.0


@dataclass(frozen=True)
class Finding:
    """One line of `check`.

    Parameters
    ----------
    level : str
        "usual", "unusual" or "note".
    text : str
        What was found, and what to do about it.
    source : str
        Where the measure comes from.
    """

    level: str
    text: str
    source: str


def findings(case: Case) -> list[Finding]:
    """Hold a case against what is usual.

    Parameters
    ----------
    case : Case
        As read.

    Returns
    -------
    list of Finding
        Unusual first, then notes, then what is as usual.
    """
    joint = joint_of(case)
    found = [
        *_gap(case, joint),
        *_insertion(joint),
        *_walls(joint),
        *_steam(case, joint),
        *_filler(case),
        *_given(case),
        *_flux(case),
        *_metals(case),
        *_second_ball(case),
        *_clamp(case),
        *_torch(case, joint),
        *_setting(case),
    ]
    order = ("unusual", "note", "usual")
    return sorted(found, key=lambda finding: order.index(finding.level))


def _gap(case: Case, joint: Joint) -> Iterator[Finding]:
    """Width of the gap, cold and with the rod ahead of the ball."""
    gap = joint.clearance * 1e3
    low, high = USUAL_GAP_MM
    usual = low - 1e-6 <= gap <= high + 1e-6
    verb = "usual" if usual else "narrower than usual" if gap < low else "wider than usual"
    text = f"gap of {gap:.3f} mm per side: {verb} ({low:g} to {high:g} mm with flux)"
    yield Finding("usual" if usual else "unusual", text, HANDBOOK)
    if gap > WIDEST_STRONG_GAP_MM:
        text = f"joints wider than {WIDEST_STRONG_GAP_MM:g} mm per side lose strength"
        yield Finding("unusual", text, STRENGTH)
    else:
        text = f"joints are strongest near {STRONGEST_GAP_MM:g} mm per side, yet flux needs room"
        yield Finding("note", text, STRENGTH)
    narrow = gap * (1 - joint.eccentricity)
    if joint.eccentricity > 0 and narrow < low / 2:
        text = f"off-centre rod: {narrow:.3f} mm left on its near side, flux may not get in"
        yield Finding("unusual", text, COMMON)
    at = filler_of(case).liquidus_C
    rod, ball = get_solid(case.rod.material), get_solid(case.ball.material)
    growth = float(rod.elongation(at + ROD_AHEAD_K)) * joint.rod_radius
    room = joint.clearance + float(ball.elongation(at)) * joint.hole_radius - growth
    if room <= 0:
        text = f"a rod {ROD_AHEAD_K:g} K hotter than the ball jams in the hole at {at:g} °C"
        yield Finding("unusual", text, "expansion of the two metals")


def _insertion(joint: Joint) -> Iterator[Finding]:
    ratio = joint.insertion / joint.rod_diameter
    text = f"rod goes {ratio:.2f} of its diameters into the ball"
    if ratio < LEAST_INSERTION:
        text += f": short, at least {LEAST_INSERTION:g} and better {GOOD_INSERTION:g} are usual"
        yield Finding("unusual", text, COMMON)
    elif ratio < GOOD_INSERTION:
        text += f": enough, {GOOD_INSERTION:g} is better"
        yield Finding("usual", text, COMMON)
    else:
        yield Finding("usual", text, COMMON)
    if ratio < SHEAR_LAP:
        text = f"under {SHEAR_LAP:.2f} diameters the filler shears before the rod breaks"
        yield Finding("unusual", text, LAP)


def _walls(joint: Joint) -> Iterator[Finding]:
    """Metal left round the hole and beyond it."""
    side = (joint.ball_radius - joint.hole_diameter / 2) * 1e3
    if side < THIN_WALL_MM:
        yield Finding("unusual", f"only {side:.2f} mm of ball round the hole, at most", COMMON)
    if joint.hole == "through":
        return
    beyond = wall_beyond(joint) * 1e3
    if beyond < THIN_WALL_MM and not joint.vent_diameter:
        yield Finding("unusual", f"only {beyond:.2f} mm of ball beyond the hole", COMMON)


def _steam(case: Case, joint: Joint) -> Iterator[Finding]:
    """Where the water of the flux goes."""
    if joint.closed:
        damp = "dried flux, which still holds bound water" if case.flux.dried else "damp flux"
        text = (
            f"closed hole with {damp}: steam can throw out rod, flux and molten filler. Heat "
            "slowly through 100 to 300 °C, keep the mouth open, wear eye protection and point the "
            "work away from people"
        )
    else:
        opening = "the hole goes through" if joint.hole == "through" else "the hole has a vent"
        text = (
            f"{opening}: flux or filler may still plug it and shut steam in. Heat slowly through "
            "100 to 300 °C and wear eye protection"
        )
    yield Finding("note", text, COMMON)
    if joint.vent_diameter > 0:
        yield Finding("note", "filler may run out through the vent; brush no flux there", COMMON)


def _filler(case: Case) -> Iterator[Finding]:
    filler = filler_of(case)
    source = f"cautions of the filler table ({filler.provenance})"
    for caution in filler.cautions:
        yield Finding("unusual" if filler.cadmium else "note", caution, source)
    if filler.note:
        yield Finding("note", filler.note, source)
    if filler.zinc_percent and "stainless" in (case.rod.material, case.ball.material):
        text = "filler with zinc on stainless steel corrodes along the joint in water"
        yield Finding("note", text, "AWS Brazing Handbook, from memory")
    span = filler.liquidus_C - filler.solidus_C
    if span > WIDE_RANGE_K:
        text = f"melts over {span:g} K: heated slowly, the part that melts first runs away"
        yield Finding("note", text, "AWS Brazing Handbook, from memory")


def _given(case: Case) -> Iterator[Finding]:
    """Wire given against what the joint holds."""
    if isinstance(case.filler.length_mm, str):
        return
    from thermo.braze import amount, poured  # brings the heat model: most cases do without
    from thermo.braze.filler.preforms import supply

    setup = to_setup(case)
    need, given = amount(setup), supply(setup.snip, amount(setup))
    over, (least, aim, _) = poured(need, given).over, need.marks
    share = f"the wire given is {given / aim:.2g} times the filler that is right"
    if over > 0:
        text = (
            f"{share}: {1e9 * over:.2g} mm³ run out {SURPLUS[setup.attitude]} (`brazeclock fill`). "
            "They are "
            "taken to leave with their heat; should all of it cling, "
        )
        text += (
            "the gap is up to 8 K hotter and solid half a second later than told"
            if given <= TRUSTED * aim * (1 + 1e-9)
            else "a gap given ten times as much is up to 160 K hotter as it fills (3 mm ball) and "
            "solid 4 s later (6 mm ball) than told: trust no time after filling"
        )
        if setup.snip.place == "fed":
            text += "; wire fed is reckoned as one cold lump, so that the gap fills late as well"
        yield Finding("unusual", text, TRIALS)
    elif given < least:
        yield Finding("unusual", f"{share}: it does not fill the joint (`brazeclock fill`)", FIT)


def _flux(case: Case) -> Iterator[Finding]:
    """Whether flux and filler work at the same temperatures."""
    filler, flux = filler_of(case), flux_of(case)
    top = filler.liquidus_C + constant("filler", "overheat").value
    source = "ranges of the flux's and the filler's standards"
    names = f"{flux.name} works from {flux.low_C:g} to {flux.high_C:g} °C, {filler.name} flows"
    fits = flux.low_C <= filler.solidus_C and flux.high_C >= top
    if fits:
        yield Finding("usual", f"{names} at {filler.liquidus_C:g} °C: they fit", source)
    if flux.low_C > filler.solidus_C:
        text = f"{names} at {filler.liquidus_C:g} °C: the filler melts before the flux works"
        yield Finding("unusual", text, source)
    if flux.high_C < top:
        text = f"{names} at {filler.liquidus_C:g} °C and is best at {top:g} °C: the flux gives out"
        yield Finding("unusual", text, source)
    clear = flux.stages["clear"].value
    if clear > filler.liquidus_C:
        text = f"flux clears at {clear:g} °C, above the filler's liquidus: clear is no cue here"
        yield Finding("unusual", text, source)
    for caution in flux.cautions:
        yield Finding("note", caution, f"cautions of the flux table ({flux.provenance})")


def _metals(case: Case) -> Iterator[Finding]:
    filler = filler_of(case)
    hot = filler.liquidus_C + constant("filler", "overheat").value
    for part, table in (("ball", case.ball), ("rod", case.rod)):
        yield from _metal(part, get_solid(table.material), hot, soft=table.stay_soft)


def _metal(part: str, solid: Solid, hot: float, *, soft: bool) -> Iterator[Finding]:
    if solid.melts_C <= hot:
        text = f"{part} of {solid.name} melts at {solid.melts_C:g} °C, the joint needs {hot:g} °C"
        yield Finding("unusual", text, "see `brazeclock list solids`")
    if solid.ac1_C is None:
        if soft:
            text = f"{part} of {solid.name} does not harden: stay_soft changes nothing"
            yield Finding("note", text, "see `brazeclock list solids`")
        return
    text = f"{part} of {solid.name}: brazing takes the hardness of a hardened one near the joint"
    yield Finding("note", text, "see `brazeclock list solids`")
    level = "unusual" if hot > solid.ac1_C else "note"
    text = (
        f"{part} of {solid.name} hardens again, and may crack, if it cools fast from above "
        f"{solid.ac1_C:g} °C; the joint needs about {hot:g} °C. Let it cool slowly, no quench"
    )
    yield Finding(level, text, "see `brazeclock list solids`")


def _second_ball(case: Case) -> Iterator[Finding]:
    """Which of two joints comes first, and whether the flame is near both."""
    second, other = case.second_ball, second_filler_of(case)
    if second is None or other is None:
        return
    own = filler_of(case)
    text = "`heat` tells whether the second ball's joint stays below its solidus"
    yield Finding("note", text, TRIALS)
    if other.solidus_C < own.liquidus_C:
        text = (
            f"the second ball's filler begins to melt at {other.solidus_C:g} °C, this one flows at "
            f"{own.liquidus_C:g} °C: one of higher solidus in the joint made first leaves more room"
        )
        yield Finding("note", text, f"step brazing; {COMMON}")
    if second.diameter_mm < case.ball.diameter_mm:
        text = "the second ball is the smaller one: brazing the larger ball first leaves more room"
        yield Finding("unusual", text, TRIALS)


def _clamp(case: Case) -> Iterator[Finding]:
    if case.clamp is None or case.clamp.at_mm >= CLAMP_FREE_MM:
        return
    at = case.clamp.at_mm
    if at <= CLAMP_STALLS_MM:
        text = f"clamp {at:g} mm from the mouth: a 6 mm ball may never get hot enough"
        yield Finding("unusual", text, TRIALS)
    else:
        yield Finding("note", f"clamp {at:g} mm from the mouth: costs many seconds", TRIALS)


def _torch(case: Case, joint: Joint) -> Iterator[Finding]:
    """Heat the ball needs against what the torch burns."""
    power = torch_of(case).fuel_power
    ball = get_solid(case.ball.material)
    flow = filler_of(case).liquidus_C
    need = joint.ball_volume * float(ball.enthalpy(flow) - ball.enthalpy(case.setting.ambient_C))
    text = f"the ball takes {need:.0f} J to {flow:g} °C; the torch burns {power:.0f} W of fuel"
    if power <= 0:
        yield Finding("unusual", f"{text}: it is off", "heat content of the metal")
        return
    yield from _fuel_rate(case)
    yield from _cone(case)
    yield from _flame(case)
    text += ", of which ball and rod take in some 5 to 15 per cent"
    yield Finding("note", text, f"heat content of the metal; share: {TRIALS}")
    if case.torch.kind == "pocket" and case.ball.diameter_mm >= 8 - 1e-9:
        text = "a ball of 8 mm or more may never get hot enough with a pocket torch"
        yield Finding("unusual", text, TRIALS)


def _fuel_rate(case: Case) -> Iterator[Finding]:
    """Fuel burnt against what its kind of torch usually burns."""
    kind, rate = get_torch_kind(case.torch.kind), case.torch.fuel_rate_g_per_h
    _, low, high = (GRAMS_PER_HOUR * end for end in kind.fuel_rate_of(get_flame(case.torch.fuel)))
    if low * (1 - 1e-3) <= rate <= high * (1 + 1e-3):
        return
    text = (
        f"the torch burns {rate:g} g/h of fuel: usual {low:.0f} to {high:.0f} g/h for "
        f"{case.torch.kind}. Weigh it before and after a timed burn, or give another kind"
    )
    yield Finding("unusual", text, kind.fuel_rate.provenance)


def _cone(case: Case) -> Iterator[Finding]:
    """A flow of mixture that holds no cone at the mouth."""
    torch = torch_of(case)
    usual = Torch.of_kind(case.torch.kind)
    if usual.cone_with(torch.mixture_rate, torch.bore) >= LEAST_CONE:
        return
    text = (
        f"{case.torch.fuel_rate_g_per_h:g} g/h of fuel feed no cone at a mouth of "
        f"{case.torch.nozzle_mm:g} mm: at the kind's burning velocity the flame strikes back or "
        "lies flat on the mouth. Check fuel_rate_g_per_h, nozzle_mm and primary_air"
    )
    yield Finding("unusual", text, "cone method of burning velocity, from memory of a textbook")


def _flame(case: Case) -> Iterator[Finding]:
    """What the fuel can do to the maker, and the gas against the hottest its flame can be."""
    flame, torch = get_flame(case.torch.fuel), case.torch
    if flame.caution:
        yield Finding("unusual", flame.caution, "cautions of the table of flames")
    tip = torch.tip_temperature_C * torch.gas_temperature_factor
    if tip > flame.adiabatic_C:
        text = (
            f"gas of {tip:.0f} °C at the cone's tip: {flame.fuel} with just enough air reaches "
            f"{flame.adiabatic_C:.0f} °C without any loss"
        )
        yield Finding("unusual", text, flame.provenance)


def _setting(case: Case) -> Iterator[Finding]:
    if case.setting.light == "bright":
        text = "in bright light the glow at brazing heat is hard to see: trust the flux, not colour"
        yield Finding("note", text, COMMON)
    if case.flux.coat_mm == 0:
        yield Finding("unusual", "no flux: filler does not wet oxidised steel", COMMON)
    elif case.flux.coat_mm < LEAST_COAT_MM:
        text = (
            f"flux.coat_mm = {case.flux.coat_mm:g} is no coat and is reckoned as no flux: filler "
            f"does not wet oxidised steel. Brush on {LEAST_COAT_MM:g} mm or more, "
            f"{USUAL_COAT_MM:g} mm is usual"
        )
        yield Finding("unusual", text, "a judgement, no source")
    if case.ball.hole == "threaded":
        text = (
            "threaded is a tapped hole with a plain rod in it, a threaded rod is not modelled: its "
            "gap is a mean over the thread; filler runs along the grooves"
        )
        yield Finding("note", text, "thread profile of ISO 68-1")
    for item in case.assumed:
        text = f"{item.key} = {item.value}: {item.why}"
        if item.why == NO_AZIMUTH:
            yield Finding("unusual", text, "symmetry of the joint")
