"""A whole build, as JSON values."""

from __future__ import annotations

from thermo import __version__
from thermo.constants import IN_MM, IN_MM2
from thermo.show.documents.base import Document, Number, Part
from thermo.show.documents.parts import Tried, tried
from thermo.show.wording.cautions import cautions
from thermo.study.plan import Plan, Step

SCHEMA = "brazeclock/plan/1"


class StepPart(Tried):
    """One line of the list in its place; `spares` is null where spares are no answer."""

    part: str
    count: int
    case: str
    rod: str
    way: str
    spares: int | None
    wire_mm: Number
    sheet_mm2: Number
    flame_s: Number
    fuel_g: Number
    lets_go: bool
    first_filler: str


class StockPart(Part):
    """Filler of the whole build, spares and loss included; wire [mm] or sheet [mm²]."""

    alloy: str
    wire_diameter_mm: Number
    sheet_mm: Number
    length_mm: Number
    area_mm2: Number


class PlanDocument(Document):
    """Steps in the order of work, and the filler of all."""

    version: str
    title: str
    cautions: list[str]
    loss: Number
    sure: Number
    steps: list[StepPart]
    stock: list[StockPart]
    flame_s: Number
    fuel_g: Number


def plan_document(found: Plan) -> PlanDocument:
    """The build as JSON values.

    Parameters
    ----------
    found : Plan
    """
    told = (text for step in found.steps for text in cautions(step.run.setup))
    return PlanDocument(
        schema=SCHEMA,
        version=__version__,
        title=found.listed.title,
        cautions=list(dict.fromkeys(told)),
        loss=found.listed.loss,
        sure=found.listed.sure,
        steps=[_step(step) for step in found.steps],
        stock=[
            StockPart(
                alloy=alloy,
                wire_diameter_mm=IN_MM * wire if sheet is None else None,
                sheet_mm=None if sheet is None else IN_MM * sheet,
                length_mm=IN_MM * size if sheet is None else None,
                area_mm2=None if sheet is None else IN_MM2 * size,
            )
            for (alloy, wire, sheet), size in found.stock.items()
        ],
        flame_s=sum(step.flame_s for step in found.steps),
        fuel_g=sum(1e3 * step.fuel_kg for step in found.steps),
    )


def _step(step: Step) -> StepPart:
    sheet = step.run.setup.snip.sheet is not None
    return StepPart(
        **tried(step.run, step.spread),
        part=step.row.part,
        count=int(step.row.count),
        case=step.row.case,
        rod=step.row.rod,
        way=step.way.strategy.name,
        spares=step.spares,
        wire_mm=None if sheet else IN_MM * step.stock,
        sheet_mm2=IN_MM2 * step.stock if sheet else None,
        flame_s=step.flame_s,
        fuel_g=1e3 * step.fuel_kg,
        lets_go=step.let_go is not None,
        first_filler=step.first,
    )
