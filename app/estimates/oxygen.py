"""Oxygen through the coming day and night: low, best and high, and what it hangs on."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from app.domain.quantities import Quantity
from app.domain.records import Reading
from app.domain.snapshot import TankSnapshot
from app.domain.wording import decimal, hour_text, listed
from app.estimates.model import NOT_MEASURED, Estimate, Input, Origin, title_of
from app.estimates.oxygen_inputs import (
    WhatIf,
    dark_between,
    day_of,
    days_since,
    inputs_of,
    missing_of,
)
from app.knowledge.model import Knowledge
from app.science.oxygen import (
    exchange_from_readings_per_hour,
    transfer_velocity_from_exchange_m_per_h,
)
from app.science.oxygen_day import OxygenCourse, OxygenDay, settled_course

MG_PER_L: Final = "mg/L"
_HELPS: Final = frozenset({"velocity", "oxygen"})
"""Of the uncertain inputs, those of which more means more oxygen."""
_UNCERTAIN: Final = frozenset({"velocity", "fish", "active", "dark", "grams", "oxygen"})
"""Plants are not: more of them make more by day and use more by night, so that no end is worse."""
_REMEMBERED: Final = 2048
"""Courses kept in memory: three for each of several hundred tanks."""
ENDS: Final = ("low", "best", "high")
_FLAT_MG_PER_L: Final = 0.1
"""Less than the last digit that is shown."""
_WHAT: Final = "Lowest oxygen of a night"


@dataclass(frozen=True, slots=True, kw_only=True)
class OxygenNight:
    """The lowest oxygen of a night as an estimate, and the course of the day behind it.

    `low`, `best`, `high` are courses of the day for the cautious, likeliest and hopeful inputs;
    `day` is the likeliest balance. All are None where something essential is missing.
    """

    estimate: Estimate
    low: OxygenCourse | None = None
    best: OxygenCourse | None = None
    high: OxygenCourse | None = None
    day: OxygenDay | None = None

    @property
    def uses(self) -> tuple[tuple[str, float], ...]:
        """Who uses how much of the oxygen in the dark, as shares of 1, the most first."""
        if self.day is None or not self.day.used_in_the_dark:
            return ()
        parts = {
            "fish": self.day.fish,
            "plants": self.day.plants,
            "filter and leftovers": self.day.bacteria,
            "sand bed": self.day.bed,
        }
        ordered = sorted(parts.items(), key=lambda part: -part[1])
        return tuple((name, part / self.day.used_in_the_dark) for name, part in ordered)


def night(
    snapshot: TankSnapshot, knowledge: Knowledge, what_if: WhatIf | None = None
) -> OxygenNight:
    """The course of a day that repeats itself, as the record stands or as somebody tries it.

    The cautious run takes a slow surface, heavy and lively fish, much food and thirsty plants; the
    hopeful one the other ends. How many plants there are is taken at its best guess. Where two
    oxygen readings of one night tell how fast the surface exchanges, that is taken. It changes with
    an entry and at midnight, never in between.

    Source:
        `science.oxygen_day` for the balance; the ends stand in the file of estimates.
    """
    missing = missing_of(snapshot, knowledge)
    if missing:
        return OxygenNight(
            estimate=Estimate(
                what=_WHAT, unit=MG_PER_L, decimals=1, known=False, missing=missing,
                sentence=f"It cannot be estimated: nobody wrote {listed(missing)}.",
            )
        )  # fmt: skip
    inputs = _inputs(snapshot, knowledge, what_if or WhatIf())

    def course(of: Sequence[Input], end: str) -> OxygenCourse:
        return course_of(day_of(at_end(of, end), snapshot, knowledge))

    low, best, high = (course(inputs, end) for end in ENDS)
    narrows = narrowest(inputs, lambda of, end: course(of, end).lowest)
    return OxygenNight(
        estimate=Estimate(
            what=_WHAT, unit=MG_PER_L, decimals=1, low=low.lowest, best=best.lowest,
            high=high.lowest, inputs=inputs, narrows_most=title_of(narrows, inputs),
            sentence=_sentence(low, best, high),
        ),
        low=low, best=best, high=high,
        day=day_of(at_end(inputs, "best"), snapshot, knowledge),
    )  # fmt: skip


def likely_lowest(snapshot: TankSnapshot, knowledge: Knowledge, what_if: WhatIf) -> float:
    """The best guess alone of what `night` tells, in mg/L, at a small part of its cost.

    Nothing that `missing_of` names may be missing.
    """
    inputs = _inputs(snapshot, knowledge, what_if)
    return course_of(day_of(at_end(inputs, "best"), snapshot, knowledge)).lowest


@lru_cache(maxsize=_REMEMBERED)
def course_of(day: OxygenDay) -> OxygenCourse:
    """`settled_course`, worked out once for equal balances: it costs more than all rules."""
    return settled_course(day)


def fitted_velocity(snapshot: TankSnapshot, knowledge: Knowledge) -> Input | None:
    """How fast the surface exchanges, from the last evening and morning reading of one night.

    None where there is no such pair within the days that count, or no exchange fits it. What
    animals and plants use is taken at its best guess and at both ends.
    """
    pair = _pair(snapshot, knowledge)
    if pair is None:
        return None
    inputs = inputs_of(snapshot, knowledge, WhatIf())
    first, second, hours = pair
    found = []
    for end in ENDS:
        day = day_of(at_end(inputs, end), snapshot, knowledge)
        values = {each.name: each.best for each in inputs}
        try:
            exchange = exchange_from_readings_per_hour(
                start_mg_per_l=first.best,
                later_mg_per_l=second.best,
                hours=hours,
                saturation_mg_per_l=day.saturation,
                uptake_mg_per_l_h=day.used_in_the_dark / day.volume_l,
            )
            by_air = values["air"] * knowledge.value("surface.air-stone") / day.volume_l
            found.append(
                transfer_velocity_from_exchange_m_per_h(
                    max(exchange - by_air, 0.0), values["area"], day.volume_l
                )
            )
        except ValueError:
            return None
    return Input(
        name="velocity", title="How much the surface moves", low=min(found), best=found[1],
        high=max(found), unit="m/h", decimals=3, origin=Origin.MEASURED, at=second.at,
        note="From an evening and a morning reading of oxygen.",
    )  # fmt: skip


def _inputs(snapshot: TankSnapshot, knowledge: Knowledge, tried: WhatIf) -> tuple[Input, ...]:
    """With the exchange of its own readings, unless another surface is tried."""
    fitted = fitted_velocity(snapshot, knowledge) if tried.surface is None else None
    return inputs_of(snapshot, knowledge, tried, fitted)


def _pair(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Reading, Reading, float] | None:
    """The last two oxygen readings of one dark stretch, with the hours between them."""
    keeps = knowledge.value("night.fit-days")
    lamp = {each.name: each.best for each in inputs_of(snapshot, knowledge, WhatIf())}
    readings = snapshot.of(Quantity.OXYGEN)
    for first, second in zip(reversed(readings[:-1]), reversed(readings[1:]), strict=True):
        if days_since(second, snapshot) > keeps:
            return None
        if dark_between(first.at, second.at, lamp, snapshot.site.zone):
            return first, second, (second.at - first.at).total_seconds() / 3600.0
    return None


def at_end(inputs: Sequence[Input], end: str) -> dict[str, float]:
    """All inputs by name for a cautious ("low"), likeliest ("best") or hopeful ("high") run."""
    values = {each.name: each.best for each in inputs}
    for each in inputs:
        if each.name in _UNCERTAIN and end != "best":
            is_least = (end == "low") is (each.name in _HELPS)
            values[each.name] = each.low if is_least else each.high
    return values


def narrowest(inputs: Sequence[Input], run: Callable[[Sequence[Input], str], float]) -> str:
    """The uncertain input without whose doubt the two ends of `run` lie closest together.

    Args:
        inputs: With their ends.
        run: From inputs and the end at which to take them to one number.
    """
    widths: dict[str, float] = {}
    for each in inputs:
        if each.name in _UNCERTAIN and not each.is_exact:
            known = [
                replace(i, low=i.best, high=i.best) if i.name == each.name else i for i in inputs
            ]
            widths[each.name] = run(known, "high") - run(known, "low")
    return min(widths, key=lambda name: widths[name], default="")


def _sentence(low: OxygenCourse, best: OxygenCourse, high: OxygenCourse) -> str:
    if best.highest - best.lowest < _FLAT_MG_PER_L:
        return (
            f"About {decimal(best.lowest, 1)} mg/L by day and by night; it may be "
            f"{decimal(low.lowest, 1)} to {decimal(high.lowest, 1)}: {NOT_MEASURED}."
        )
    return (
        f"About {decimal(best.lowest, 1)} mg/L at the lowest, towards "
        f"{hour_text(best.lowest_at_h)}; it may be {decimal(low.lowest, 1)} to "
        f"{decimal(high.lowest, 1)}: {NOT_MEASURED}."
    )
