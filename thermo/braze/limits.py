"""Limits that a braze should not pass."""

from __future__ import annotations

from dataclasses import dataclass

from thermo.braze.setup import Setup

ROD_LEAD_K = 200.0
"""Rod ahead of the gap's coldest wall, itself above the solidus, by which filler is drawn down the
rod (assumed)."""
LIFE = "% of its life"
WAITS = "filler waits molten"
"""Limit on how long filler lies molten before the gap takes it."""
BEAD = "filler overheated as a bead"
"""Limit on how hot it gets meanwhile."""
OF_FILLER = (WAITS, BEAD)
"""Limits on the filler before the gap takes it; they say nothing of ball, rod or gap."""
WAITS_S = 10.0
"""Filler that lies molten longer before the gap takes it balls up and loses zinc (assumed) [s]."""
NEIGHBOUR = "neighbour lets go"
"""Limit on the hottest place of a second ball's joint: there its filler begins to melt."""


@dataclass(frozen=True)
class Bound:
    """A limit on a watched temperature.

    Attributes
    ----------
    name : str
    watched : str
        Name of the watched value.
    level : float
        Passed when the value reaches it.
    unit, source : str
    """

    name: str
    watched: str
    level: float
    unit: str
    source: str


def bounds(setup: Setup) -> list[Bound]:
    """Limits of one setup.

    Parameters
    ----------
    setup : Setup
    """
    filler, flux = setup.filler, setup.flux
    found = [
        Bound("flux above its range", "coat_max_C", flux.high_C, "°C", flux.provenance),
        Bound("flux in the gap above its range", "gap_max_C", flux.high_C, "°C", flux.provenance),
        Bound("filler overheated", "gap_max_C", filler.brazing_top_C, "°C", filler.provenance),
        Bound(
            "rod ahead of the gap",
            "molten_lead_K",
            ROD_LEAD_K,
            "K",
            "assumed, no source: filler runs toward the heat",
        ),
    ]
    for part, solid, watched in (
        ("ball", setup.ball, "ball_max_C"),
        ("rod", setup.rod, "rod_max_C"),
    ):
        level = min(x for x in (solid.overheated_C, solid.melts_C) if x is not None)
        found.append(
            Bound(f"{part} too hot", watched, level, "°C", "common practice, no source, or melting")
        )
        if solid.ac1_C is not None:
            source = "transformation of the solid, see `brazeclock list solids`"
            found.append(Bound(f"{part} hardens again", watched, solid.ac1_C, "°C", source))
        if solid.grain_growth_C is not None and solid.grain_growth_C < level:
            found.append(
                Bound(
                    f"{part} coarsens",
                    watched,
                    solid.grain_growth_C,
                    "°C",
                    "grain growth of the solid, see `brazeclock list solids`",
                )
            )
    if setup.second_filler is not None:
        solidus, source = setup.second_filler.solidus_C, setup.second_filler.provenance
        found.append(Bound(NEIGHBOUR, "second_joint_C", solidus, "°C", source))
    life = "common practice, no source: the life of flux is known to a factor of two at best"
    found.append(Bound("flux in the gap spent", "gap_spent_pct", 100.0, LIFE, life))
    if setup.coat.thickness > 0:
        found.append(Bound("flux at the mouth spent", "mouth_spent_pct", 100.0, LIFE, life))
    else:
        found = found[1:]
    if filler.zinc_fumes_C is not None:
        source = "estimate from an assumed activity of zinc"
        found.append(
            Bound("zinc leaves the filler", "gap_max_C", filler.zinc_fumes_C, "°C", source)
        )
    return found
