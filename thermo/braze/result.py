"""What one braze gives."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from thermo.braze.cooling import Cooling
from thermo.braze.outcome import Flowed
from thermo.braze.setup import Setup
from thermo.flame import Phase
from thermo.shape import Mesh

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Stage:
    """One stage of the braze.

    Attributes
    ----------
    name : str
        "flux-dry", "flux-milky", "flux-clear", "solidus", "liquidus", "settles", "filled",
        "flame-off", "solid" or "wash".
    time_s : float or None
        When it is reached where it counts, all round the gap [s].
    seen_s : float or None
        When an eye outside sees it [s].
    cue : str
        What is seen then.
    reason : str
        Why it is never reached; empty where it is.
    """

    name: str
    time_s: float | None
    seen_s: float | None
    cue: str
    reason: str = ""


@dataclass(frozen=True)
class Limit:
    """One limit: the worst value of the run against it.

    Attributes
    ----------
    name, unit : str
    value, limit : float
    time_s : float or None
        When the limit is passed, None where it holds [s].
    source : str
        Where the limit comes from.
    """

    name: str
    value: float
    limit: float
    unit: str
    time_s: float | None
    source: str

    @property
    def ok(self) -> bool:
        """True where the limit holds."""
        return self.time_s is None


@dataclass(frozen=True)
class Leeway:
    """From the moment the whole gap can fill to the first limit, were the flame kept on.

    Attributes
    ----------
    opens_s, closes_s, width_s : float or None
        None where the gap never gets ready, or no limit is met within the time looked at [s].
    closed_by : str or None
        The limit that closes it.
    looked_s : float
        How long after opening limits were looked for [s].
    """

    opens_s: float | None
    closes_s: float | None
    width_s: float | None
    closed_by: str | None
    looked_s: float


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
    limits : tuple of Limit
    leeway : Leeway
    stations : dict
        "time_s" and the watched temperatures through time [°C].
    energy : Energy
    filler : Flowed
        What became of the filler.
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
    limits: tuple[Limit, ...]
    leeway: Leeway
    stations: dict[str, Floats]
    energy: Energy
    filler: Flowed
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

    def stage(self, name: str) -> Stage:
        """The stage of a name."""
        return next(stage for stage in self.stages if stage.name == name)
