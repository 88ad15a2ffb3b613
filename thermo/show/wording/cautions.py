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
        Filler with cadmium, or of unknown composition, first; then steam, fuel, then the rest.
    """
    filler = setup.filler
    alloy = filler.cautions[:1] if filler.cadmium or not filler.composition else ()
    told = (_of_alloy(filler, text) for text in alloy)
    return [*told, _hole(setup.joint), *_of_fuel(setup), BRIEF]


def cautions(setup: Setup) -> list[str]:
    """Cautions of one joint, the same in every card and every document.

    Parameters
    ----------
    setup : Setup
        A closed hole shuts steam in; filler may hold cadmium or zinc, or be of a composition that
        is not known; flux gives off fume and steam and leaves residue; a fuel may have dangers of
        its own.

    Returns
    -------
    list of str
        Filler with cadmium first, then steam, fuel, fume, heat, acid and rules.

    Source: common practice, no source, besides those the tables of fillers and fluxes name.
    """
    filler = setup.filler
    alloy = [_of_alloy(filler, text) for text in filler.cautions]
    first, later = (alloy, []) if filler.cadmium else ([], alloy)
    told = (_hole(setup.joint), *_of_fuel(setup), *setup.flux.cautions)
    return [*first, *told, *later, HOT, ACID, RULES]


def _of_alloy(filler: Filler, text: str) -> str:
    return f"{filler.name}: {text[0].lower()}{text[1:]}"


def _of_fuel(setup: Setup) -> tuple[str, ...]:
    caution = setup.torch.flame.caution
    return (caution,) if caution else ()


def _hole(joint: Joint) -> str:
    return CLOSED if joint.closed else OPEN
