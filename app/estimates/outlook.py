"""What rules take of the coming night and of an outage: three courses of the day, and hours."""

from dataclasses import replace

from app.domain.outlook import OxygenOutlook
from app.domain.snapshot import TankSnapshot
from app.estimates.model import Origin
from app.estimates.outage import hours_until, still_surface, stopped
from app.estimates.oxygen import ENDS, at_end, course_of, fitted_velocity
from app.estimates.oxygen_inputs import WhatIf, day_of, inputs_of, missing_of, rotting
from app.knowledge.model import Knowledge


def oxygen_outlook(snapshot: TankSnapshot, knowledge: Knowledge) -> OxygenOutlook | None:
    """The lowest oxygen of a night, and how long it lasts without a filter; None without inputs.

    The hours are worked out only where the newest look found the filter, the power or the plug
    off. They take the likeliest uses: at least from the lowest of the night without any exchange
    with the air, at most from the highest of the day with a still, clean surface. It changes with
    an entry and at midnight, never in between.
    """
    if not snapshot.expected_fish or missing_of(snapshot, knowledge):
        return None
    inputs = inputs_of(snapshot, knowledge, WhatIf(), fitted_velocity(snapshot, knowledge))
    low, best, high = (course_of(day_of(at_end(inputs, end), snapshot, knowledge)) for end in ENDS)
    surface = still_surface(knowledge)
    outlook = OxygenOutlook(
        low=low.lowest,
        best=best.lowest,
        high=high.lowest,
        surface_assumed=any(i.name == surface.name and i.origin is Origin.ASSUMED for i in inputs),
    )
    if not snapshot.looks_at_a_stop:
        return outlook
    line, most = knowledge.value("outage.oxygen-last"), knowledge.value("outage.most-hours")
    values = at_end(inputs, "best")

    def lasts(start: float, velocity: float) -> float:
        moved = values | {"velocity": velocity, "air": 0.0}
        day = stopped(day_of(moved, snapshot, knowledge), rotting(moved, knowledge))
        return min(hours_until(day, start, line, most_h=most), most)

    return replace(
        outlook,
        outage_low_h=lasts(best.lowest, surface.low),
        outage_high_h=lasts(best.highest, surface.high),
    )
