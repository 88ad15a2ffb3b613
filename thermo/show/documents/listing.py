"""The tables behind the model: every value with its range, its source and how it was reached."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from pydantic import Field

from thermo.matter import (
    Colour,
    Curve,
    Filler,
    Record,
    Solid,
    filler_names,
    flame_names,
    flux_names,
    get_filler,
    get_flame,
    get_flux,
    get_solid,
    get_torch_kind,
    heat_colours,
    solid_names,
    sources,
    temper_colours,
    torch_kinds,
)
from thermo.show.documents.base import Document, Number, Part

Cited = dict[str, int]  # number of each source, in the order they are met
SCHEMA = "brazeclock/list/1"
WARM_C = 700.0
NOT_KNOWN = "not known"


@dataclass(frozen=True)
class Line:
    """One property: its value, range and source; without one, that of its entry holds.

    `unit` is empty for bare numbers; a value in words is shown as it is.
    """

    name: str
    value: float | str
    unit: str = ""
    low: float | None = None
    high: float | None = None
    source: str = ""
    provenance: str = ""

    @classmethod
    def of(cls, name: str, record: Record) -> Line:
        """The line of a record."""
        unit = "" if record.unit == "-" else record.unit
        return cls(
            name, record.value, unit, record.low, record.high, record.source, record.provenance
        )


@dataclass(frozen=True)
class Entry:
    """One metal, filler, flux, flame, torch, or table of colours; `flag` is what can hurt."""

    name: str
    title: str
    lines: tuple[Line, ...]
    source: str = ""
    provenance: str = ""
    flag: str = ""


class PropertyPart(Part):
    """One property with its range, its source and how it was reached."""

    name: str
    value: float | str
    unit: str
    low: Number
    high: Number
    source: str
    provenance: str


class EntryPart(Part):
    """One metal, filler, flux, flame, torch, or table of colours; `flag` is what can hurt."""

    name: str
    title: str
    flag: str
    properties: list[PropertyPart]


class ListDocument(Document):
    """A table behind the model."""

    list_: str = Field(alias="list")
    entries: list[EntryPart]
    notes: list[str]


def list_document(what: str) -> ListDocument:
    """The same as JSON values, in the units named.

    Parameters
    ----------
    what : str
        A key of `LISTS`.
    """
    build, notes = LISTS[what]
    return ListDocument(
        schema=SCHEMA,
        list=what,
        entries=[
            EntryPart(
                name=entry.name,
                title=entry.title,
                flag=entry.flag,
                properties=[_property(line, entry) for line in entry.lines],
            )
            for entry in build()
        ],
        notes=list(notes),
    )


def _property(line: Line, entry: Entry) -> PropertyPart:
    origin = line if line.source or line.provenance else entry
    return PropertyPart(
        name=line.name,
        value=line.value,
        unit=line.unit,
        low=line.low,
        high=line.high,
        source=sources()[line.source or entry.source].title,
        provenance=origin.provenance,
    )


def _solids() -> Iterator[Entry]:
    for name in solid_names():
        solid = get_solid(name)
        limits = {
            "density": "density at 20 °C",
            "melts_C": "begins to melt",
            "grain_growth_C": "grain coarsens above",
            "overheated_C": "spoilt above",
            "scaling_C": "scales above",
            "ac1_C": "hardens again above",
        }
        lines = [Line.of(limits[key], solid.records[key]) for key in limits if key in solid.records]
        yield Entry(name, solid.title, (*lines, *_curves(solid)))


def _curves(solid: Solid) -> Iterator[Line]:
    """Conductivity and heat capacity, cold and warm."""
    for name, key in (("conducts", "conductivity"), ("heat capacity", "heat_capacity")):
        for T_C in (20.0, WARM_C):
            yield _on_curve(f"{name} at {T_C:g} °C", solid.curves[key], T_C)


def _on_curve(name: str, curve: Curve, T_C: float) -> Line:
    value = float(curve.value(T_C))
    low, high = (None, None) if curve.spread is None else curve.spread
    ends = [None if share is None else value * (1 + share) for share in (low, high)]
    return Line(name, value, curve.unit, ends[0], ends[1], curve.source, curve.provenance)


def _fillers() -> Iterator[Entry]:
    for name in filler_names():
        filler = get_filler(name)
        flag = " ".join(filler.cautions) if filler.cadmium else ""
        lines = tuple(_filler_lines(filler))
        yield Entry(name, filler.aws, lines, filler.source, filler.provenance, flag)


def _filler_lines(filler: Filler) -> Iterator[Line]:
    yield _span("melts", filler.solidus_C, filler.liquidus_C)
    if filler.melting_aws is not None:
        yield replace(_span(f"melts as {filler.aws}", *filler.melting_aws), provenance=filler.note)
    yield Line.of("overheated above", filler.brazing_top)
    yield Line.of("density at 20 °C", filler.density_record)
    alloy = ", ".join(f"{element} {share:g}" for element, share in filler.composition.items())
    yield Line("composition [% by mass]", alloy or NOT_KNOWN)


def _fluxes() -> Iterator[Entry]:
    for name in flux_names():
        flux = get_flux(name)
        words = {"form": flux.form, "made of": flux.composition, "for": flux.use}
        lines = [
            _span("works", flux.low_C, flux.high_C),
            *(Line.of(stage, record) for stage, record in flux.stages.items()),
            *(Line(key, text or NOT_KNOWN) for key, text in words.items()),
            Line("residue", flux.residue or NOT_KNOWN),
        ]
        yield Entry(name, flux.standard, tuple(lines), flux.source, flux.provenance)


def _flames() -> Iterator[Entry]:
    for name in flame_names():
        flame = get_flame(*name.rsplit("-", 1))
        lines = (
            Line("heat of burning", flame.lower_heating_value, "J/kg"),
            Line("oxidant to burn it all", flame.oxidant_per_fuel, "kg/kg"),
            Line("hottest, without losses", flame.adiabatic_C, "°C"),
        )
        yield Entry(name, "", lines, flame.source, flame.provenance, flame.caution)


def _torches() -> Iterator[Entry]:
    for name in torch_kinds():
        kind = get_torch_kind(name)
        records = {
            "fuel burnt": kind.fuel_rate,
            "burner's mouth": kind.bore,
            "inner cone": kind.cone_length,
            "gas at the cone's tip": kind.tip_temperature_C,
            "share of air drawn in": kind.primary_air,
        }
        yield Entry(name, kind.title, tuple(Line.of(key, one) for key, one in records.items()))


def _colours() -> Iterator[Entry]:
    every = (*heat_colours(), *temper_colours())
    for table in dict.fromkeys(colour.table for colour in every):
        bands = [colour for colour in every if colour.table == table]
        first = bands[0]
        light = f", in {first.light} light" if first.light else ""
        kind = "temper colours" if table == "temper" else "glow"
        lines = tuple(_band(band) for band in bands)
        yield Entry(table, f"{kind}{light}", lines, first.source, first.provenance)


def _band(colour: Colour) -> Line:
    """Temperatures of a colour; a table may give one only, or an open end."""
    if colour.to_C is not None:
        return _span(colour.name, colour.from_C, colour.to_C)
    words = "from" if colour.light else "about"
    return Line(colour.name, f"{words} {colour.from_C:g} °C", "°C", colour.from_C)


def _span(name: str, low_C: float, high_C: float) -> Line:
    """A range of temperatures."""
    return Line(name, f"{low_C:g} to {high_C:g} °C", "°C", low_C, high_C)


FOR_MAKERS = {"kg/s": ("g/h", 3.6e6), "m": ("mm", 1e3), "J/kg": ("MJ/kg", 1e-6)}
"""Units as makers read them, for the text; the JSON keeps the tables' own."""
LISTS: dict[str, tuple[Callable[[], Iterator[Entry]], Sequence[str]]] = {
    "solids": (
        _solids,
        ("A range in brackets is what is usual; where none stands it is not known.",),
    ),
    "fillers": (
        _fillers,
        (
            "Fillers with cadmium are listed so that you know them: do not use them.",
            "Overheated fillers with zinc give off its fume: ventilate.",
            "The first melting range is the one used; the standards differ.",
        ),
    ),
    "fluxes": (
        _fluxes,
        (
            "Flux gives off fume and spits; water goes on leaving it up to about 300 °C.",
            "Dry, milky and clear were read for white paste flux; others are taken by rule.",
        ),
    ),
    "flames": (
        _flames,
        ("The hottest without losses is a ceiling that a hand torch does not reach.",),
    ),
    "torches": (
        _torches,
        ("Torches differ: weigh yours before and after a timed burn to know what it burns.",),
    ),
    "colours": (
        _colours,
        (
            "The tables differ by up to 150 K for the same word: a colour is a hint.",
            "Temper colours are of the thin oxide on clean steel held for minutes in air.",
            "Metal that glows no more still burns.",
        ),
    ),
}
"""Every list by name: its entries, and what to mind."""
