"""What was estimated of the coming night, as rules take it: never measured, never an all-clear."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class OxygenOutlook:
    """The lowest oxygen of the coming night in mg/L, and hours to the line without the filter.

    `outage_low_h` and `outage_high_h` are None where they could not be estimated, and where no
    look says that the filter or the power is off. With `surface_assumed` nobody measured how fast
    the surface exchanges, on which most of it hangs.
    """

    low: float
    best: float
    high: float
    outage_low_h: float | None = None
    outage_high_h: float | None = None
    surface_assumed: bool = False
