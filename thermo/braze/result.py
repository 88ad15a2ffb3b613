"""What one braze gives."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from thermo.braze.aftercare import Aftercare, aftercare
from thermo.braze.coat import BOILING_C
from thermo.braze.cooling import Cooling
from thermo.braze.filler.amount import Amount, amount
from thermo.braze.filler.outcome import Flowed
from thermo.braze.limits import LimitName
from thermo.braze.monitors import Stations
from thermo.braze.overheld import Overheld
from thermo.braze.reasons import Unfilled
from thermo.braze.setup import Setup
from thermo.braze.stages import StageName
from thermo.braze.steam.pressure import Steam, steam
from thermo.flame import Phase
from thermo.shape import Mesh

Floats = NDArray[np.float64]

WATER_GONE_C = 300.0
"""By then all water has left the flux (common practice, no source)."""
BOILS_OVER_K = 20.0
"""So far above boiling the walls come while free water leaves the gap (of trial runs)."""


@dataclass(frozen=True)
class Stage:
    """One stage of the braze.

    Attributes
    ----------
    name : StageName
    time_s : float or None
        When it is reached where it counts, all round the gap [s].
    seen_s : float or None
        When an eye outside sees it [s].
    cue : str
        What is seen then.
    reason : str
        Why it is never reached; empty where it is.
    """

    name: StageName
    time_s: float | None
    seen_s: float | None
    cue: str
    reason: str = ""


@dataclass(frozen=True)
class Limit:
    """One limit, or level of a consequence: the worst value of the run against it.

    Attributes
    ----------
    name : LimitName
    unit : str
    value, limit : float
    time_s : float or None
        When the limit is passed, None where it holds [s].
    source : str
        Where the limit comes from.
    spoils : bool
        False for a consequence, which leaves the braze sound: it closes no leeway.
    """

    name: LimitName
    value: float
    limit: float
    unit: str
    time_s: float | None
    source: str
    spoils: bool = True

    @property
    def ok(self) -> bool:
        """True where the limit holds."""
        return self.time_s is None

    def __repr__(self) -> str:
        state = "holds" if self.time_s is None else f"passed at {self.time_s:.1f} s"
        return f"<Limit {self.name}: {self.value:.4g} of {self.limit:.4g} {self.unit}, {state}>"


@dataclass(frozen=True)
class Consequence:
    """What the heat does to the steel and leaves the braze sound.

    Attributes
    ----------
    name : LimitName
    time_s : float
        When, were the flame kept on [s].
    """

    name: LimitName
    time_s: float


@dataclass(frozen=True)
class Leeway:
    """From the moment the whole gap can fill to what spoils first, were the flame kept on.

    Attributes
    ----------
    opens_s, closes_s, width_s : float or None
        None where the gap never gets ready, or no limit is met within the time looked at [s].
    closed_by : LimitName or None
        The limit that closes it.
    looked_s : float
        How long after opening limits were looked for [s].
    consequences : tuple of Consequence
        Those met by then, before it opens as well, in order of time.
    """

    opens_s: float | None
    closes_s: float | None
    width_s: float | None
    closed_by: LimitName | None
    looked_s: float
    consequences: tuple[Consequence, ...] = ()

    def __repr__(self) -> str:
        if self.opens_s is None:
            return "<Leeway: the gap never gets ready>"
        if self.closes_s is None:
            return f"<Leeway from {self.opens_s:.1f} s: no limit met in {self.looked_s:.0f} s>"
        return f"<Leeway {self.opens_s:.1f} to {self.closes_s:.1f} s: {self.closed_by}>"


@dataclass(frozen=True)
class Energy:
    """The heat ledger from the flame's first moment to a named one.

    Attributes
    ----------
    in_J, lost_J, stored_J : float
        [J]
    residual : float
        Heat missing, as a share of the heat moved.
    moment : str
        "wash", when the part is cool enough to wash; "flame-off" where cooling was not computed or
        nothing got hot; "end of cooling" where it is not cool enough by then.
    time_s : float
        When that is [s].
    floor_J : float
        Heat that rounding alone may lose [J].
    """

    in_J: float
    lost_J: float
    stored_J: float
    residual: float
    moment: str
    time_s: float
    floor_J: float


@dataclass(frozen=True)
class Braze:
    """One braze, computed.

    Attributes
    ----------
    setup : Setup
    mesh : Mesh
    stages : tuple of Stage
    unfilled : Unfilled or None
        Why the gap did not fill; None where it did.
    limits : tuple of Limit
    leeway : Leeway
    stations : Stations
        Monitored values through time.
    energy : Energy
    filler : Flowed
        What became of the filler.
    overheld : tuple of Overheld
        What a flame held on too long does.
    cooling : Cooling
        How the part cools, and the rod's temperature along its length.
    timeline : tuple of (time, Phase)
        When each phase began [s]; sides as on the mesh, `turned_deg` less than in the case.
    turned_deg : float
        Azimuth of the case on which azimuth 0 of the mesh lies [degrees].
    flame_share : float
        Share of the fuel's power that the cold part takes in when the flame is first held to it.
    gap_ready_s : (G,) array
        When each gap link reached liquidus, NaN where never [s].
    section_s : float
        Time of the section: the whole gap ready, or else the flame taken away [s].
    section_C : (n,) array
        Temperature of every cell then [°C].
    engine : str
        What marched the heat model: "march" or "fipy".
    steps, evaluations : int
        Steps of the march and evaluations of its right-hand side.
    wall_s : float
        Time the computation took [s].
    """

    setup: Setup
    mesh: Mesh
    stages: tuple[Stage, ...]
    unfilled: Unfilled | None
    limits: tuple[Limit, ...]
    leeway: Leeway
    stations: Stations
    energy: Energy
    filler: Flowed
    overheld: tuple[Overheld, ...]
    cooling: Cooling
    timeline: tuple[tuple[float, Phase], ...]
    turned_deg: float
    flame_share: float
    gap_ready_s: Floats
    section_s: float
    section_C: Floats
    engine: str
    steps: int
    evaluations: int
    wall_s: float = field(compare=False)

    def __repr__(self) -> str:
        stages = (
            f"{stage.name} {'never' if stage.time_s is None else f'{stage.time_s:.1f} s'}"
            for stage in self.stages
        )
        passed = ", ".join(limit.name for limit in self.limits if limit.spoils and not limit.ok)
        return (
            f"<Braze {self.setup.title!r}, {self.setup.strategy.name}\n"
            f"  {', '.join(stages)}\n"
            f"  limits passed: {passed or 'none'}\n"
            f"  {self.leeway!r}>"
        )

    def stage(self, name: StageName) -> Stage:
        """The stage of a name."""
        return next(stage for stage in self.stages if stage.name == name)

    @cached_property
    def amount(self) -> Amount:
        """How much filler the joint takes."""
        return amount(self.setup)

    @cached_property
    def aftercare(self) -> Aftercare:
        """What the braze leaves behind."""
        return aftercare(self.setup, self.limits, self.filler)

    @cached_property
    def steam(self) -> Steam:
        """The water in the hole, heated as fast as the gap where it leaves."""
        return steam(self.setup, self.boiling_pace_K_s)

    @cached_property
    def boiling_pace_K_s(self) -> float:
        """Pace of the gap where water leaves, at mouth or bottom, whichever is faster; 0 for never.

        Free water leaves from 100 °C on, in a layer so thin that its walls gain `BOILS_OVER_K`
        meanwhile at most; where the paste is dried, bound water, until all has left the flux [K/s].
        """
        dried = self.setup.coat.dried
        last = WATER_GONE_C if dried else BOILING_C + BOILS_OVER_K
        ends = (self.stations.gap_mouth_C, self.stations.gap_bottom_C)
        return max(self._pace(end, BOILING_C, last) for end in ends)

    def _pace(self, at_C: Floats, low: float, high: float) -> float:
        """Mean pace of a place on its way up from one temperature to another; 0 for never [K/s]."""
        top = int(np.argmax(at_C))
        high = min(high, float(at_C[top]))
        if high <= low:
            return 0.0
        began, ended = np.interp([low, high], at_C[: top + 1], self.stations.time_s[: top + 1])
        return (high - low) / float(ended - began)

    @property
    def ready_s(self) -> float | None:
        """When the whole gap can take filler: flux clear, walls above liquidus; None for never [s].

        Filler may still be on its way: `filled_s` is when the gap is full.
        """
        clear, melted = (
            self.stage(name).time_s for name in (StageName.FLUX_CLEAR, StageName.LIQUIDUS)
        )
        return None if clear is None or melted is None else max(clear, melted)

    @property
    def filled_s(self) -> float | None:
        """When the whole gap is full of filler; None for never [s]."""
        return self.stage(StageName.FILLED).time_s

    @property
    def off_s(self) -> float:
        """When the flame is taken away, or else the end of the run [s]."""
        t = self.stage(StageName.FLAME_OFF).time_s
        return float(self.stations.time_s[-1]) if t is None else t

    @property
    def coldest_C(self) -> float:
        """Hottest that the gap's coldest wall ever gets [°C]."""
        return float(self.stations.gap_min_C.max())

    @property
    def level_C(self) -> float:
        """Temperature from which the gap takes filler: liquidus, and flux clear [°C]."""
        return max(self.setup.filler.liquidus_C, self.setup.flux.stages["clear"].value)

    def value_at(self, name: str, t: float) -> float:
        """A watched value at a time, by its name among the stations."""
        return float(np.interp(t, self.stations.time_s, self.stations[name]))

    def limit(self, name: LimitName) -> Limit:
        """The limit of a name.

        Raises
        ------
        KeyError
            If the braze has no such limit.
        """
        for limit in self.limits:
            if limit.name == name:
                return limit
        raise KeyError(
            f"no limit {str(name)!r}; there are {', '.join(x.name for x in self.limits)}"
        )
