"""The joint: a drilled ball on a rod, with its volumes and areas in closed form.

The rod's axis is z, the ball's centre is the origin, the rod leaves toward -z.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

HOLES = ("blind", "through", "threaded")
MAY_BE_NOUGHT = (
    "flat_diameter",
    "vent_diameter",
    "stand_off",
    "thread_pitch",
    "second_ball_diameter",
)


@dataclass(frozen=True)
class Joint:
    """Ball, hole and rod as a body of revolution.

    Parameters
    ----------
    ball_diameter : float
        [m]
    hole : str
        "blind", "through" or "threaded" (a blind hole with a thread).
    hole_diameter : float
        Drilled diameter; of a threaded hole the nominal (major) diameter [m].
    hole_depth : float
        Depth at full diameter, from the flat, or from the pole where none is cut [m]. Not
        used for a through hole.
    rod_diameter, rod_length : float
        Diameter, and length from the mouth of the hole to the far end [m].
    flat_diameter : float
        Flat cut round the mouth; 0 for none [m].
    point_angle : float
        Included angle of the drill point; 180 is a flat bottom [degrees].
    thread_pitch : float
        Pitch of a threaded hole [m].
    vent_diameter : float
        Vent drilled on along the axis from the hole's bottom to the far pole; 0 for none [m].
    stand_off : float
        From the rod's tip to the full-diameter floor (or to the far opening) [m].
    eccentricity : float
        Offset of the rod in its hole over the radial clearance, toward azimuth 180° [-].
    second_ball_diameter : float
        Ball already on the rod's far end, taken as solid: its joint is filled. Its mouth is where
        the rod's side meets its sphere, at the rod's far end; 0 for none [m].

    Raises
    ------
    ValueError
        If the parts cannot exist or do not fit into each other.

    References
    ----------
    ISO 68-1: the thread's profile, of which the plain hole of the same volume is taken.

    Examples
    --------
    A 6 mm ball on a 2.4 mm rod, the hole 0.1 mm wider:

    >>> from thermo import Joint
    >>> joint = Joint(6e-3, "blind", 2.5e-3, 3.6e-3, 2.4e-3, 40e-3, point_angle=118.0)
    >>> joint
    <Joint: 6 mm ball, blind hole 2.5 x 3.6 mm, rod 2.4 x 40 mm>
    >>> f"{1e3 * joint.clearance:.3f} mm, {1e9 * joint.annulus_volume:.2f} mm³"
    '0.050 mm, 1.28 mm³'
    """

    ball_diameter: float
    hole: str
    hole_diameter: float
    hole_depth: float
    rod_diameter: float
    rod_length: float
    flat_diameter: float = 0.0
    point_angle: float = 180.0
    thread_pitch: float = 0.0
    vent_diameter: float = 0.0
    stand_off: float = 0.0
    eccentricity: float = 0.0
    second_ball_diameter: float = 0.0

    def __post_init__(self) -> None:
        for problem in _problems(self):
            raise ValueError(problem)

    def __repr__(self) -> str:
        ball, hole, deep, rod, long = (
            f"{1e3 * x:.4g}"
            for x in (
                self.ball_diameter,
                self.hole_diameter,
                self.hole_depth,
                self.rod_diameter,
                self.rod_length,
            )
        )
        depth = "" if self.hole == "through" else f" x {deep}"
        second = 1e3 * self.second_ball_diameter
        other = f", {second:.4g} mm ball at its far end" if second else ""
        return (
            f"<Joint: {ball} mm ball, {self.hole} hole {hole}{depth} mm, "
            f"rod {rod} x {long} mm{other}>"
        )

    @property
    def ball_radius(self) -> float:
        """Radius of the ball [m]."""
        return self.ball_diameter / 2

    @property
    def rod_radius(self) -> float:
        """Radius of the rod [m]."""
        return self.rod_diameter / 2

    @property
    def vent_radius(self) -> float:
        """Radius of the vent [m]."""
        return self.vent_diameter / 2

    @property
    def hole_radius(self) -> float:
        """Radius of the plain hole of the same volume [m]; see `thread_radius`."""
        if self.hole != "threaded":
            return self.hole_diameter / 2
        return thread_radius(self.hole_diameter, self.thread_pitch)

    @property
    def clearance(self) -> float:
        """Gap per side between rod and hole, rod central [m]."""
        return self.hole_radius - self.rod_radius

    @property
    def flat_z(self) -> float | None:
        """Height of the flat [m], None where none is cut."""
        if self.flat_diameter <= 0:
            return None
        return -_drop(self.ball_radius, self.flat_diameter / 2)

    @property
    def mouth_z(self) -> float:
        """Height of the hole's edge at its mouth [m]."""
        flat = self.flat_z
        return -_drop(self.ball_radius, self.hole_radius) if flat is None else flat

    @property
    def floor_z(self) -> float:
        """Height where the full diameter ends; of a through hole the far edge [m]."""
        if self.hole == "through":
            return _drop(self.ball_radius, self.hole_radius)
        flat = self.flat_z
        return (-self.ball_radius if flat is None else flat) + self.hole_depth

    @property
    def point_slope(self) -> float:
        """Rise of the drill point's cone per radius, cot(angle / 2) [-]."""
        if self.point_angle >= 180.0:
            return 0.0
        return 1.0 / math.tan(math.radians(self.point_angle) / 2)

    @property
    def apex_z(self) -> float:
        """Height of the drill point's apex [m]."""
        return self.floor_z + self.hole_radius * self.point_slope

    @property
    def tip_z(self) -> float:
        """Height of the rod's tip inside the hole [m]."""
        return self.floor_z - self.stand_off

    @property
    def insertion(self) -> float:
        """Length of rod inside the hole, mouth to tip [m]."""
        return self.tip_z - self.mouth_z

    @property
    def far_z(self) -> float:
        """Height of the rod's far end [m]."""
        return self.mouth_z - self.rod_length

    @property
    def closed(self) -> bool:
        """True when the hole has no second opening."""
        return self.hole != "through" and self.vent_diameter <= 0

    @property
    def far_opening_radius(self) -> float:
        """Radius of the opening at the far pole: through hole, vent or none [m]."""
        return self.hole_radius if self.hole == "through" else self.vent_radius

    @property
    def vent_length(self) -> float:
        """Length of a vent's bore, hole's bottom to the ball's far side; 0 for none [m]."""
        v = self.vent_radius
        return _drop(self.ball_radius, v) - (self.apex_z - v * self.point_slope) if v > 0 else 0.0

    @property
    def annulus_volume(self) -> float:
        """Gap round the rod, mouth to tip [m³]."""
        return math.pi * (self.hole_radius**2 - self.rod_radius**2) * self.insertion

    @property
    def bottom_volume(self) -> float:
        """Space beyond the rod's tip: stand-off and drill point, without a vent's bore [m³]."""
        r, v = self.hole_radius, self.vent_radius
        cylinder = math.pi * r**2 * self.stand_off
        if self.hole == "through":
            return cylinder
        return cylinder + math.pi / 3 * (r**3 - v**3) * self.point_slope

    @property
    def ball_volume(self) -> float:
        """Metal of the ball [m³]."""
        R, r, v = self.ball_radius, self.hole_radius, self.vent_radius
        near_radius = max(r, self.flat_diameter / 2)
        whole = 4 / 3 * math.pi * R**3 - _cap_volume(R, near_radius)
        if self.hole == "through":
            return whole - _cap_volume(R, r) - math.pi * r**2 * (self.floor_z - self.mouth_z)
        hole = math.pi * r**2 * (self.floor_z - self.mouth_z)
        point = math.pi / 3 * (r**3 - v**3) * self.point_slope
        vent = math.pi * v**2 * self.vent_length + _cap_volume(R, v) if v > 0 else 0.0
        return whole - hole - point - vent

    @property
    def rod_volume(self) -> float:
        """Metal of the rod, tip to far end [m³]."""
        return math.pi * self.rod_radius**2 * (self.tip_z - self.far_z)

    @property
    def sphere_area(self) -> float:
        """Spherical surface left on the ball [m²]."""
        R = self.ball_radius
        near = _cap_height(R, max(self.hole_radius, self.flat_diameter / 2))
        far = _cap_height(R, self.far_opening_radius)
        return 2 * math.pi * R * (2 * R - near - far)

    @property
    def flat_area(self) -> float:
        """Flat round the mouth, without the hole [m²]."""
        if self.flat_diameter <= 0:
            return 0.0
        return math.pi * ((self.flat_diameter / 2) ** 2 - self.hole_radius**2)

    @property
    def hole_wall_area(self) -> float:
        """Cylindrical wall of the hole, mouth to full-diameter depth [m²]."""
        return 2 * math.pi * self.hole_radius * (self.floor_z - self.mouth_z)

    @property
    def hole_floor_area(self) -> float:
        """Drill point's cone, or flat floor, without a vent's bore [m²]."""
        if self.hole == "through":
            return 0.0
        slant = math.hypot(1.0, self.point_slope)
        return math.pi * slant * (self.hole_radius**2 - self.vent_radius**2)

    @property
    def rod_side_area(self) -> float:
        """Side of the rod outside the ball, mouth to far end [m²]."""
        return math.pi * self.rod_diameter * self.rod_length

    @property
    def second_ball_z(self) -> float:
        """Height of the second ball's centre [m]."""
        return self.far_z - _drop(self.second_ball_diameter / 2, self.rod_radius)

    @property
    def spacing(self) -> float:
        """From centre to centre of the two balls [m]."""
        return -self.second_ball_z

    def room(self, spacing: float) -> float:
        """Length of rod that puts the balls' centres so far apart; may come out negative [m]."""
        return self.rod_length + spacing - self.spacing

    @property
    def second_ball_volume(self) -> float:
        """Second ball from its mouth on, the rod in it included [m³]."""
        R = self.second_ball_diameter / 2
        return 4 / 3 * math.pi * R**3 - _cap_volume(R, self.rod_radius)

    @property
    def second_ball_area(self) -> float:
        """Spherical surface of the second ball, without its mouth [m²]."""
        R = self.second_ball_diameter / 2
        return 2 * math.pi * R * (2 * R - _cap_height(R, self.rod_radius))

    def gap(self, azimuth: float) -> float:
        """Local gap per side, c (1 + e cos θ) [m].

        Parameters
        ----------
        azimuth : float
            [rad]
        """
        return self.clearance * (1 + self.eccentricity * math.cos(azimuth))


def thread_radius(major: float, pitch: float) -> float:
    """Radius of the plain hole that has the volume of a tapped one.

    The basic profile has a flat of P/8 at the major radius R, of P/4 at the minor radius
    R1 = R - (5/8) sin(60°) P, and straight flanks: mean r² = R1²/4 + R²/8 +
    (5/8)(R1² + R1 R + R²)/3.

    Parameters
    ----------
    major : float
        Major diameter.
    pitch : float
        In the same unit.

    Source: ISO 68-1.
    """
    R = major / 2
    R1 = R - 0.625 * math.sin(math.radians(60)) * pitch
    return math.sqrt(R1**2 / 4 + R**2 / 8 + 0.625 * (R1**2 + R1 * R + R**2) / 3)


def _drop(R: float, r: float) -> float:
    """Height above the equator at which a sphere of radius R has radius r."""
    return math.sqrt(R * R - r * r)


def _cap_height(R: float, r: float) -> float:
    return R - _drop(R, r)


def _cap_volume(R: float, r: float) -> float:
    h = _cap_height(R, r)
    return math.pi * h * h * (3 * R - h) / 3


def _problems(j: Joint) -> list[str]:
    """What keeps the parts from existing, most basic first."""
    numbers = {
        "ball_diameter": j.ball_diameter,
        "hole_diameter": j.hole_diameter,
        "rod_diameter": j.rod_diameter,
        "rod_length": j.rod_length,
    }
    found = [
        f"{name} = {value}: must be a positive, finite length in metres"
        for name, value in numbers.items()
        if not (math.isfinite(value) and value > 0)
    ]
    found += [
        f"{name} = {getattr(j, name)}: must be a finite number"
        for name in MAY_BE_NOUGHT
        if not math.isfinite(getattr(j, name))
    ]
    if j.hole not in HOLES:
        found.append(f"hole = {j.hole!r}: must be one of {', '.join(HOLES)}")
    if not 60 <= j.point_angle <= 180:
        found.append(f"point_angle = {j.point_angle}: must lie between 60 and 180 degrees")
    if not 0 <= j.eccentricity < 1:
        found.append(f"eccentricity = {j.eccentricity}: must be at least 0 and below 1")
    if min(getattr(j, name) for name in MAY_BE_NOUGHT) < 0:
        found.append(f"{', '.join(MAY_BE_NOUGHT[:-1])} and {MAY_BE_NOUGHT[-1]} cannot be negative")
    if found:
        return found
    return _misfits(j)


def _misfits(j: Joint) -> list[str]:
    """What keeps sound parts from fitting into each other."""
    if j.hole == "threaded" and not 0 < j.thread_pitch < j.hole_diameter / 2:
        return [f"thread_pitch = {j.thread_pitch}: a threaded hole needs one below half its width"]
    if j.hole_diameter >= j.ball_diameter:
        return [f"hole_diameter = {j.hole_diameter}: the hole is wider than the ball"]
    if j.flat_diameter >= j.ball_diameter:
        return [f"flat_diameter = {j.flat_diameter}: the flat is wider than the ball"]
    if 0 < j.flat_diameter <= 2 * j.hole_radius:
        return [f"flat_diameter = {j.flat_diameter}: must be wider than the hole"]
    if j.clearance < 0:
        return [f"rod_diameter = {j.rod_diameter}: the rod is wider than the hole"]
    if j.hole != "through":
        if not (math.isfinite(j.hole_depth) and j.floor_z > j.mouth_z):
            return [f"hole_depth = {j.hole_depth}: the hole ends before its mouth is cut"]
        corner = math.hypot(j.hole_radius, j.floor_z) if j.floor_z > 0 else 0.0
        if max(corner, j.apex_z) >= j.ball_radius:
            return [f"hole_depth = {j.hole_depth}: the hole comes out at the far side"]
        if j.vent_radius >= j.hole_radius:
            return [f"vent_diameter = {j.vent_diameter}: the vent must be narrower than the hole"]
    if 0 < j.second_ball_diameter <= j.rod_diameter:
        second = j.second_ball_diameter
        return [f"second_ball_diameter = {second}: must be wider than the rod"]
    if j.insertion <= 0:
        return [f"stand_off = {j.stand_off}: the rod does not reach into the hole"]
    return []
