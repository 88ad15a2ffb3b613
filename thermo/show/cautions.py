"""What can hurt: cautions that go with every card, the gravest first."""

from __future__ import annotations

from thermo.braze import Setup
from thermo.matter import Filler
from thermo.shape import Joint

CLOSED = "This hole is closed: keep its mouth open and turned away from you."
OPEN = "Flux or filler can plug the hole's second opening: keep its mouth turned from you."
HOT = "Metal that glows no more still burns, and water spits on it: use tongs."
ACID = "Pickling: acid into water, never water into acid; goggles and gloves."
RULES = (
    "Keep to the data sheets of flux, filler and gas, to gas licences and to local rules. No time "
    "given here takes a danger away."
)

BRIEF = (
    "Eye protection, no breathing of flux or zinc fume, tongs, steam until 300 °C and beyond: all "
    "cautions of `brazeclock heat` hold for every run here. No time given here takes a danger away."
)


def brief_cautions(setup: Setup) -> list[str]:
    """Cautions of a joint in few words, for studies of many runs.

    Parameters
    ----------
    setup : Setup

    Returns
    -------
    list of str
        Filler with cadmium, or of unknown composition, first; then steam, then the rest.
    """
    filler = setup.filler
    alloy = filler.cautions[:1] if filler.cadmium or not filler.composition else ()
    return [*(_of_alloy(filler, text) for text in alloy), _hole(setup.joint), BRIEF]


def cautions(setup: Setup) -> list[str]:
    """Cautions of one joint, the same in every card and every document.

    Parameters
    ----------
    setup : Setup
        A closed hole shuts steam in; filler may hold cadmium or zinc, or be of a composition that
        is not known; flux gives off fume and steam and leaves residue.

    Returns
    -------
    list of str
        Filler with cadmium first, then steam, fume, heat, acid and rules.

    Source: common practice, no source, besides those the tables of fillers and fluxes name.
    """
    filler = setup.filler
    alloy = [_of_alloy(filler, text) for text in filler.cautions]
    first, later = (alloy, []) if filler.cadmium else ([], alloy)
    return [*first, _hole(setup.joint), *setup.flux.cautions, *later, HOT, ACID, RULES]


def _of_alloy(filler: Filler, text: str) -> str:
    return f"{filler.name}: {text[0].lower()}{text[1:]}"


def _hole(joint: Joint) -> str:
    return CLOSED if joint.closed else OPEN
