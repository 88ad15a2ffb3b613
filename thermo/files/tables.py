"""The tables of a case file, one model each. Lengths in mm, temperatures in °C.

Every key that has a default gets it in `thermo.files.defaults`, where the reason stands too.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, PrivateAttr

from thermo.files.fields import Known, Pair, PlusMinus, Range
from thermo.flame.motion import AIMS, OBSERVABLES
from thermo.matter import get_filler, get_flame, get_flux, get_solid, get_torch_kind

COMMON = "common practice, no source"
LONGEST_S = 3600.0
SHORTEST_TURN_S = 0.5
"""A hand leads a torch no faster round or up and down (common practice, no source)."""
TURN = "give the time of one round or sweep; a hand needs half a second at least"
SURPLUS = {"ball-up": "down the rod", "ball-down": "over the ball", "level": "off the lower side"}
"""Where filler that is too much runs, by attitude."""
ROD_LENGTH_MM = (2.0, 300.0)
CONE_MM = (1.0, 100.0)
SIDES = ("filler", "opposite")
CONE_TIP = "cone-tip"


class Table(BaseModel):
    """A table that refuses keys it does not know and values of another kind."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, defer_build=True)


@dataclass(frozen=True)
class Assumed:
    """A value the case does not give.

    Parameters
    ----------
    key, value : str
        Dotted key and the value taken, with its unit.
    why : str
        Reason for the value.
    weight : int
        Rank of its influence on the times; larger is more. A judgement: trial runs put 70 to
        95 % of the uncertainty on the torch's strength, the rest follows in a rough order.
    """

    key: str
    value: str
    why: str
    weight: int


class Ball(Table):
    """The drilled ball."""

    diameter_mm: Annotated[float, Range(1, 30, "mm", "give the ball's diameter in millimetres")]
    material: Annotated[str, Known(get_solid, "solids")]
    hole: Literal["blind", "through", "threaded"]
    hole_diameter_mm: Annotated[
        float, Range(0.3, 20, "mm", "give the drill's diameter (of a thread: the nominal one)")
    ]
    hole_depth_mm: Annotated[
        float,
        Range(0.2, 60, "mm", "give the depth at full diameter, from the flat or else the pole"),
    ]
    flat_diameter_mm: Annotated[
        float, Range(0, 30, "mm", "give the width of the flat round the mouth, 0 for none")
    ]
    point_angle_deg: Annotated[
        float, Range(60, 180, "degrees", "give the drill's point angle; 180 is a flat bottom")
    ]
    thread_pitch_mm: Annotated[
        float, Range(0, 5, "mm", "give the thread's pitch; 0 where there is no thread")
    ]
    vent_diameter_mm: Annotated[float, Range(0, 10, "mm", "give the vent's diameter, 0 for none")]
    stay_soft: bool


class Rod(Table):
    """The rod in the ball's hole."""

    diameter_mm: Annotated[float, Range(0.3, 12, "mm", "give the rod's diameter in millimetres")]
    length_mm: Annotated[
        float,
        Range(*ROD_LENGTH_MM, "mm", "give the rod's length from the mouth to its far end"),
    ]
    material: Annotated[str, Known(get_solid, "solids")]
    stand_off_mm: Annotated[
        float, Range(0, 30, "mm", "give the space between the rod's tip and the hole's bottom")
    ]
    eccentricity: Annotated[
        float,
        Range(0, 1, "", "0 is a central rod; towards 1 it touches the wall", below=True),
    ]
    far_end: Literal["free", "clamp", "ball"]
    stay_soft: bool


class SecondBall(Table):
    """A ball already brazed to the rod's far end."""

    spacing_mm: Annotated[
        float, Range(3, 400, "mm", "give the distance from one ball's centre to the other's")
    ]
    diameter_mm: Annotated[float, Range(1, 30, "mm", "give the second ball's diameter")]
    filler: Annotated[str, Known(get_filler, "fillers")] | None = None


class ClampTable(Table):
    """A clamp on the rod."""

    at_mm: Annotated[
        float, Range(1, 300, "mm", "give the distance from the mouth to the clamp's near edge")
    ]
    conductance_W_K: Annotated[
        float, Range(0.001, 1, "W/K", "give what the clamp draws per kelvin, usually 0.01 to 0.1")
    ]


class FillerTable(Table):
    """The filler: a named alloy, or a melting range of one's own."""

    alloy: Annotated[str, Known(get_filler, "fillers")] | None = None
    solidus_C: Annotated[
        float | None, Range(200, 1100, "°C", "give the temperature where melting begins")
    ] = None
    liquidus_C: Annotated[
        float | None, Range(200, 1100, "°C", "give the temperature where melting ends")
    ] = None
    form: Literal["wire", "sheet"]
    wire_diameter_mm: Annotated[float, Range(0.1, 5, "mm", "give the wire's diameter")]
    sheet_mm: Annotated[float, Range(0.02, 2, "mm", "give the sheet's thickness")] | None = None
    length_mm: Annotated[
        float | str, Range(0.1, 500, "mm", "give the length of wire in millimetres", ("auto",))
    ]
    place: Literal["hole-bottom", "mouth", "rod-tip", "fed"]
    azimuth_deg: Annotated[
        float, Range(-360, 360, "degrees", "give where the filler lies round the rod")
    ]


class FluxTable(Table):
    """The flux: a type by its standard, or a working range of one's own."""

    type: Annotated[str, Known(get_flux, "fluxes")] | None = None
    range_C: (
        Annotated[
            tuple[float, float],
            Pair(Range(200, 1300, "°C", "give the flux's working range, as in [550, 800]")),
        ]
        | None
    ) = None
    coat_mm: Annotated[float, Range(0, 2, "mm", "give how thick the wet paste is brushed on")]
    water_fraction: Annotated[
        float, Range(0, 0.8, "", "give the share of free water in the paste, as in 0.3")
    ]
    dried: bool


Kind = Annotated[str, Known(get_torch_kind, "torches")]
Fuel = Annotated[str, Known(get_flame, "flames", "fuel")]
FuelRate = Annotated[float, Range(0, 2000, "g/h", "give the fuel burnt in an hour, in grams")]
Nozzle = Annotated[float, Range(0.5, 40, "mm", "give the width of the burner's mouth")]
Cone = Annotated[float, Range(*CONE_MM, "mm", "give the length of the bright inner cone")]
Tip = Annotated[float, Range(600, 2400, "°C", "give the gas's temperature just beyond the cone")]
PrimaryAir = Annotated[
    float, Range(0, 2, "", "give the air drawn in at the burner over that for complete burning")
]
GasFactor = Annotated[float, Range(0.3, 1.5, "", "1 is a torch as tabulated")]
TransferFactor = Annotated[float, Range(0.1, 5, "", "1 is a torch as tabulated")]


class TorchValues(Table):
    """What a torch file can say of a torch."""

    kind: Kind | None = None
    fuel: Fuel | None = None
    fuel_rate_g_per_h: FuelRate | None = None
    nozzle_mm: Nozzle | None = None
    cone_mm: Cone | None = None
    tip_temperature_C: Tip | None = None
    primary_air: PrimaryAir | None = None
    gas_temperature_factor: GasFactor | None = None
    transfer_factor: TransferFactor | None = None


class TorchTable(Table):
    """The torch of a case, every value known."""

    kind: Kind
    fuel: Fuel
    fuel_rate_g_per_h: FuelRate
    nozzle_mm: Nozzle
    cone_mm: Cone
    tip_temperature_C: Tip
    primary_air: PrimaryAir
    gas_temperature_factor: GasFactor
    transfer_factor: TransferFactor
    torch_file: str | None = None


class SettingTable(Table):
    """Where and how the work stands."""

    ambient_C: Annotated[float, Range(-30, 60, "°C", "give the temperature of the room")]
    support: Literal["free", "brick", "brick-behind", "tweezers"]
    attitude: Literal["ball-up", "ball-down", "level"]
    light: Literal["dim", "bright"]


_RELATIVE = PlusMinus(
    Range(0, 0.95, "", "give a relative half-width, as in 0.2"),
    Range(0.01, 10, "", "give [low, high] as multiples of the value, as in [0.8, 1.3]"),
)
_AIM = PlusMinus(
    Range(0, 20, "mm", "give how far the aim may be off"),
    Range(-20, 20, "mm", "give how far the aim may be off, as in [-1, 2]"),
)
_CUE = PlusMinus(
    Range(0, 200, "K", "give how far the cue's temperature may be off"),
    Range(200, 1200, "°C", "give the temperatures the cue may stand for, as in [565, 620]"),
)
Relative = Annotated[float | tuple[float, float], _RELATIVE]


class UncertaintyTable(Table):
    """How sure the maker is of each value: a half-width or [low, high]."""

    torch: Relative | None = None
    flame_width: Relative | None = None
    transfer: Relative | None = None
    distance: Relative | None = None
    aim_mm: Annotated[float | tuple[float, float], _AIM] | None = None
    emissivity: Relative | None = None
    gap_conductance: Relative | None = None
    filler_contact: Relative | None = None
    clearance: Relative | None = None
    flux_coat: Relative | None = None
    cue_C: Annotated[float | tuple[float, float], _CUE] | None = None


class PhaseTable(Table):
    """One way of holding the torch, and when it ends."""

    aim: Annotated[
        float | str,
        Range(-30, 300, "mm", "give where on the rod to aim, from the mouth", AIMS),
    ]
    side: Annotated[
        float | str,
        Range(-360, 360, "degrees", "give the angle from the filler's side", SIDES),
    ]
    distance_mm: Annotated[
        float | str,
        Range(1, 150, "mm", "give the burner's distance from the work", (CONE_TIP,)),
    ]
    motion: Literal["hold", "round", "sweep"]
    period_s: Annotated[float, Range(SHORTEST_TURN_S, 60, "s", TURN)]
    until: Annotated[
        float | str,
        Range(0.1, LONGEST_S, "s", "give the seconds, or what ends the phase", OBSERVABLES),
    ]
    max_s: Annotated[float, Range(0.1, LONGEST_S, "s", "give the longest time the phase may take")]


class StrategyTable(Table):
    """A named list of phases."""

    name: Annotated[str, Field(pattern=r"\S", max_length=60)]
    phase: Annotated[list[PhaseTable], Field(min_length=1, max_length=20)]


class Case(Table):
    """One braze as a maker writes it, with every default filled in.

    Attributes
    ----------
    source : str
        File it was read from, or "options".
    name : str
        Short name, fit for a folder.
    assumed : tuple of Assumed
        What the file leaves open, most influential first.
    """

    title: Annotated[str, Field(max_length=200)]
    note: Annotated[str, Field(max_length=5000)]
    ball: Ball
    rod: Rod
    second_ball: SecondBall | None = None
    clamp: ClampTable | None = None
    filler: FillerTable
    flux: FluxTable
    torch: TorchTable
    setting: SettingTable
    uncertainty: UncertaintyTable | None = None
    strategy: Annotated[list[StrategyTable], Field(max_length=20)]
    _source: str = PrivateAttr("")
    _name: str = PrivateAttr("")
    _assumed: tuple[Assumed, ...] = PrivateAttr(())

    @property
    def source(self) -> str:
        """File it was read from, or "options"."""
        return self._source

    @property
    def name(self) -> str:
        """Short name, fit for a folder."""
        return self._name

    @property
    def assumed(self) -> tuple[Assumed, ...]:
        """What the file leaves open, most influential first."""
        return self._assumed

    @classmethod
    def completed(
        cls, tables: dict[str, Any], source: str, name: str, assumed: tuple[Assumed, ...]
    ) -> Case:
        """A validated case from tables in base units; pydantic's ValidationError otherwise."""
        case = cls.model_validate(tables)
        case._source, case._name, case._assumed = source, name, assumed
        return case
