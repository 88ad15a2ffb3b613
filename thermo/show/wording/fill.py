"""How much filler a joint wants, in words."""

from __future__ import annotations

from collections.abc import Iterator

from thermo.braze.filler.preforms import inside
from thermo.files import Assumed, Case
from thermo.matter import constant
from thermo.show.wording.fill_notes import (
    cut_into,
    stays,
    stock,
    take,
)
from thermo.study.fill import Fill

WHOLE = "with_bottom"  # the aim, should a bottom that stays hollow fill too
BEARS = ("ball.", "rod.material", "rod.stand_off_mm", "filler.")
BEARS_NOT = ("filler.azimuth_deg",)


def answer(found: Fill) -> str:
    """What to take and how to cut it, in a sentence or two."""
    given, need = found.given, found.amount
    if need.clearance_hot <= 0:
        return "No filler flows round this rod: the gap closes in the heat."
    least, aim, most = (take(found, volume) for volume in need.marks)
    pieces = cut_into(found)
    cut = f" ({pieces or 'feed it by hand'})" if given is None else ""
    words = f"Take {aim} of {stock(found)}{cut}, no less than {least}, no more than {most}."
    if need.stays_hollow:
        words = (
            f"Take {aim} of {stock(found)}{cut} for gap and fillet, no more than {most}: "
            f"{stays(found)}. Should it fill too, {take(found, need.aim)}."
        )
    if given is not None:
        words += f" The {take(found, given)} given {f'make {pieces}' if pieces else 'are fed'}."
    return words


def assumed(found: Fill, case: Case) -> list[Assumed]:
    """What bears on the amount and was assumed: by the case, then by the reckoning."""
    own = [a for a in case.assumed if a.key.startswith(BEARS) and a.key not in BEARS_NOT]
    names = [("fillet", "usual-leg"), ("fillet", "largest-leg")]
    if inside(found.setup.snip):
        names.append(("filler", "packing"))
    for group, name in names:
        record = constant(group, name)
        low, high = record.range
        value = f"{record.value:g} ({low:g} to {high:g})"
        own.append(Assumed(f"{group}.{name}", value, record.provenance, 0))
    return own


def rows(found: Fill) -> Iterator[tuple[str, float, str]]:
    """Name, volume [m³] and meaning of least, aim, most, and of what is given."""
    need = found.amount
    bottom = "recess" if found.setup.joint.hole == "through" else "bottom"
    takes = need.cold.bottom > 0 and not need.stays_hollow
    least, aim, most = need.marks
    yield "least", least, f"just fills {f'gap and {bottom}' if takes else 'the gap'}"
    yield "aim", aim, "with a usual fillet"
    yield "most", most, "with the largest fillet that stands"
    if need.stays_hollow:
        yield WHOLE.replace("_", " "), need.aim, f"should it fill too: {stays(found)}"
    if found.given is not None:
        yield "given", found.given, "by the case"
