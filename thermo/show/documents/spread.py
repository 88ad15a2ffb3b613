"""How sure the times are, as JSON values."""

from __future__ import annotations

from pydantic import ConfigDict, Field

from thermo.braze.stages import StageName
from thermo.show.documents.base import Number, Part
from thermo.show.wording.spread import chances, count_line
from thermo.study.spread import Band, Count, Spread


class CountPart(Part):
    """The filled gap over a cue: 10, 50 and 90 % of the members; null where it is never reached.

    `from` names the cue. `holds` is false where too few members fill or the band is too wide.
    """

    model_config = ConfigDict(populate_by_name=True)

    from_: StageName = Field(alias="from")
    ratio: Number
    low: Number
    high: Number
    holds: bool


class BandPart(Part):
    """10, 50 and 90 % of the members; null for never."""

    low: Number
    middle: Number
    high: Number


class RangePart(Part):
    """A range that was drawn from: shares of the value, or [mm] and [K] that are added."""

    key: str
    low: Number
    high: Number
    why: str
    rank_correlation: Number


class MembersPart(Part):
    """What many members come to; times [s]."""

    members: int
    words: str
    chances: str
    well_share: Number
    filled_share: Number
    fails: dict[str, Number]
    leeway_s: BandPart
    counts: list[CountPart]


class SpreadPart(MembersPart):
    """The same, with the ranges that members were drawn from."""

    ranges: list[RangePart]


def spread_part(spread: Spread) -> SpreadPart:
    """How sure the times are, as JSON values.

    Parameters
    ----------
    spread : Spread
    """
    influence = spread.influence
    ranges = [
        RangePart(
            key=one.key,
            low=one.low,
            high=one.high,
            why=one.why,
            rank_correlation=influence[one.key],
        )
        for one in spread.ranges
    ]
    return SpreadPart(**dict(members_part(spread)), ranges=ranges)


def members_part(spread: Spread) -> MembersPart:
    """What many members come to, as JSON values.

    Parameters
    ----------
    spread : Spread
    """
    return MembersPart(
        members=spread.count,
        words=count_line(spread),
        chances=chances(spread),
        well_share=spread.well_share,
        filled_share=spread.filled_share,
        fails=dict(spread.fails),
        leeway_s=_band(spread.leeway),
        counts=[count_part(one) for one in spread.counts],
    )


def count_part(count: Count) -> CountPart:
    """One count rule, as JSON values."""
    band = count.band
    values = {"from": count.cue, "ratio": band.middle, "low": band.low, "high": band.high}
    return CountPart.model_validate({**values, "holds": count.holds})


def _band(band: Band) -> BandPart:
    return BandPart(low=band.low, middle=band.middle, high=band.high)
