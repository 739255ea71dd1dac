"""Nitrate from the food alone, before any test: its rise, and where the plan lets it settle."""

from dataclasses import dataclass

from app.domain.measures import net_volume
from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.estimates.food import grams_a_day
from app.estimates.missing import GRAMS_A_DAY, PLAN, PROTEIN, TAP_NITRATE, VOLUME
from app.estimates.model import Triple
from app.estimates.nitrate_course import rise_of
from app.knowledge.model import Knowledge
from app.science.nitrogen import days_until, nitrate_between_changes


@dataclass(frozen=True, slots=True, kw_only=True)
class NitrateOutlook:
    """Where nitrate settles just before each planned change, in mg/L as nitrate.

    `grams` is food a day; `rise` what it makes a day, before plants take any. `missing` names
    what nobody knows; then the numbers are 0.
    """

    missing: tuple[str, ...] = ()
    grams: float = 0.0
    rise: float = 0.0
    tap: float = 0.0
    low: float = 0.0
    best: float = 0.0
    high: float = 0.0


def outlook(snapshot: TankSnapshot, knowledge: Knowledge) -> NitrateOutlook:
    """Where nitrate settles at this feeding, or what is missing to say it."""
    water = net_volume(snapshot.tank.shape)
    protein = snapshot.tank.food_protein_percent
    grams = grams_a_day(snapshot, knowledge)
    tap = snapshot.site.tap_value(Quantity.NITRATE)
    plan = snapshot.tank.plan
    planned = plan.water_change_days > 0 and plan.water_change_percent > 0
    if water is None or protein is None or grams is None or tap is None or not planned:
        parts = {
            PROTEIN: protein, GRAMS_A_DAY: grams, VOLUME: water, TAP_NITRATE: tap,
            PLAN: planned or None,
        }  # fmt: skip
        return NitrateOutlook(missing=tuple(what for what, known in parts.items() if known is None))
    rise = rise_of(grams, water.net_l, protein / 100.0)
    share = min(plan.water_change_percent / 100.0, 1.0)
    low, best, high = (
        nitrate_between_changes(tap, each, plan.water_change_days, share).before_change
        for each in could_be(rise, knowledge)
    )
    return NitrateOutlook(grams=grams, rise=rise, tap=tap, low=low, best=best, high=high)


def could_be(rise: float, knowledge: Knowledge) -> Triple:
    """A rise that the food explains, and between what ends it could be, in its own unit."""
    low = knowledge.value("nitrate.rise-low") / 100.0
    high = knowledge.value("nitrate.rise-high") / 100.0
    return rise * low, rise, rise * high


def days_to(start: float, target: float, rises: Triple) -> Triple:
    """Days from one nitrate to another; the fastest rise a day is the shortest time."""
    slow, best, fast = (days_until(start, target, rise) for rise in rises)
    return fast, best, slow
