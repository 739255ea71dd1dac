"""Oxygen through a day and a night in one well-mixed box of water.

The surface brings oxygen in, plants make it while the lamp is on, and everything that lives uses
it. What fish, plants, bacteria and the bed use falls off when little is left; the half points below
say where. The exchange at the surface is known to an order of magnitude: show one decimal at most.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.science.bounds import FloatOrArray, require_above_zero, require_within
from app.science.elementwise import exp

STEPS_PER_HOUR = 12
HOURS_PER_DAY = 24
MOST_DAYS = 200
SETTLED_MG_PER_L = 0.001
"""A day that ends so close to how it began repeats itself."""

MOST_TIMES_SATURATION = 1.6
"""Above this bubbles leave the water."""

MOST_EXCHANGES_PER_HOUR = 20.0
"""From here on a faster exchange changes nothing: the water is full of oxygen. Steps of five
minutes bear no more than 33 of them."""

HALF_OF_PLANTS_MG_PER_L = 0.3
HALF_OF_BACTERIA_MG_PER_L = 0.5
HALF_OF_BED_MG_PER_L = 0.7
CRITICAL_MG_PER_L = 1.0
"""Below this a fish cannot take up what it needs: Barrionuevo and Burggren (1999) for zebrafish."""

MEAL_FADES_H = 6.0

_WIDTH = 1.0 / STEPS_PER_HOUR
_Change = Callable[[float, float, float], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class OxygenDay:
    """One tank's day. Oxygen in mg/L, uses and gains in mg per hour, all at least 0.

    `exchange_l_per_h` is the transfer velocity times the surface, with what an air stone adds.
    `made` is what plants make while the lamp is on, from `light_on_h` (hour of the day) for
    `light_hours`. `plants`, `fish`, `bacteria` and `bed` are used all day; `bacteria` holds the
    filter's and what rots. `meals` are (hour of the day, part by which a meal raises what fish
    use right after it); that part fades with a time of 6 hours.
    """

    volume_l: float
    saturation: float
    exchange_l_per_h: float
    made: float
    plants: float
    fish: float
    bacteria: float
    bed: float
    light_on_h: float
    light_hours: float
    meals: tuple[tuple[float, float], ...] = ()

    def __post_init__(self) -> None:
        """Refuse what no tank can be.

        Raises:
            ValueError: If a value lies outside its range.
        """
        require_above_zero("volume_l", self.volume_l)
        require_above_zero("saturation", self.saturation)
        for name in ("exchange_l_per_h", "made", "plants", "fish", "bacteria", "bed"):
            require_within(name, getattr(self, name), 0.0)
        require_within("light_on_h", self.light_on_h, 0.0, HOURS_PER_DAY)
        require_within("light_hours", self.light_hours, 0.0, HOURS_PER_DAY)

    def is_lit(self, hour: float) -> bool:
        """Whether the lamp is on at an hour of the day; hours past midnight go on counting."""
        return (hour - self.light_on_h) % HOURS_PER_DAY < self.light_hours

    def meal_factor(self, hour: FloatOrArray) -> FloatOrArray:
        """By how much meals raise what fish use at an hour, 1 long after a meal; any shape."""
        factor = hour * 0.0 + 1.0
        for at, part in self.meals:
            factor = factor + part * exp(-((hour - at) % HOURS_PER_DAY) / MEAL_FADES_H)
        return factor

    @property
    def used_in_the_dark(self) -> float:
        """What everything uses in the dark with oxygen enough, long after a meal, mg per hour."""
        return self.plants + self.fish + self.bacteria + self.bed


@dataclass(frozen=True, slots=True)
class OxygenCourse:
    """Oxygen in mg/L every five minutes: at hour 0 of the day, and on to hour 24."""

    hours: NDArray[np.float64]
    mg_per_l: NDArray[np.float64]

    @property
    def lowest(self) -> float:
        """The lowest of the day, mg/L."""
        return float(self.mg_per_l.min())

    @property
    def highest(self) -> float:
        """The highest of the day, mg/L."""
        return float(self.mg_per_l.max())

    @property
    def lowest_at_h(self) -> float:
        """The hour of the day at which it is lowest."""
        return float(self.hours[int(self.mg_per_l.argmin())]) % HOURS_PER_DAY

    def at(self, hour: float) -> float:
        """Oxygen at an hour of the day, mg/L; hours past midnight go on counting."""
        return float(np.interp(hour % HOURS_PER_DAY, self.hours, self.mg_per_l))


def settled_course(day: OxygenDay) -> OxygenCourse:
    """The day that follows when the same day is repeated.

    The first day begins where uses at full rate would lead, so that a deep, still tank comes down
    to its course in few days; without any exchange it begins with water full of oxygen.

    Returns:
        The first day that ends within `SETTLED_MG_PER_L` of how it began, in steps of five
        minutes, 289 values; the last of `MOST_DAYS` days where none does.

    Source:
        Mass balance of one mixed box, integrated with the classical Runge-Kutta method; uses with
        saturating terms as in models of river oxygen. Each step lies wholly in light or in dark:
        the lamp's switching is taken to the nearest five minutes.
    """
    steps = range(HOURS_PER_DAY * STEPS_PER_HOUR)
    made = [day.made if day.is_lit((step + 0.5) / STEPS_PER_HOUR) else 0.0 for step in steps]
    fish = _fish_by_half_steps(day)
    change, most = _changes(day), MOST_TIMES_SATURATION * day.saturation
    value, course = _first_guess(day), [day.saturation]
    for _ in range(MOST_DAYS):
        course = [value]
        for step in steps:
            value = _next(change, most, value, made[step], fish[2 * step : 2 * step + 3])
            course.append(value)
        if abs(value - course[0]) < SETTLED_MG_PER_L:
            break
    return OxygenCourse(np.arange(len(course)) / STEPS_PER_HOUR, np.array(course))


def hours_to_fall(day: OxygenDay, start: float, line: float, *, most_h: float) -> float:
    """Hours in the dark until oxygen falls to a line, `inf` where it does not within `most_h`.

    Args:
        day: The tank as it is then, such as without what the filter moves.
        start: Oxygen at first in mg/L, above the line.
        line: The line in mg/L, at least 0.
        most_h: How far to look, in hours above 0.

    Raises:
        ValueError: If the line lies not below the start, or a value outside its range.

    Source:
        As `settled_course`. With uses that do not change it is the logarithm of the closed form.
    """
    require_within("line", line, 0.0)
    require_above_zero("most_h", most_h)
    if line >= start:
        raise ValueError(f"line must lie below start, {start:g}, got {line:g}")
    change, most = _changes(day), MOST_TIMES_SATURATION * day.saturation
    if change(line, 0.0, day.fish) >= 0.0:  # at the line itself nothing is lost
        return math.inf
    value, steady = start, [day.fish] * 3
    for step in range(math.ceil(most_h * STEPS_PER_HOUR)):
        after = _next(change, most, value, 0.0, steady)
        if after <= line:
            return (step + (value - line) / (value - after)) / STEPS_PER_HOUR
        value = after
    return math.inf


def dawn_and_dusk(day: OxygenDay) -> tuple[float, float]:
    """Oxygen before the lamp goes on and before it goes off, if all uses went on at full rate.

    A closed form that `settled_course` can be held against; meals are left out.

    Returns:
        (dawn, dusk) in mg/L; below 0 where the uses could not go on.

    Raises:
        ValueError: If the surface exchanges nothing.

    Source:
        Two exponentials that meet: the periodic solution of a linear balance.
    """
    require_above_zero("exchange_l_per_h", day.exchange_l_per_h)
    used = day.used_in_the_dark
    by_night = day.saturation - used / day.exchange_l_per_h
    by_day = by_night + day.made / day.exchange_l_per_h
    rate = day.exchange_l_per_h / day.volume_l
    left_by_day = math.exp(-rate * day.light_hours)
    left_by_night = math.exp(-rate * (HOURS_PER_DAY - day.light_hours))
    dawn = (by_night * (1.0 - left_by_night) + by_day * (1.0 - left_by_day) * left_by_night) / (
        -math.expm1(-rate * HOURS_PER_DAY)
    )
    return dawn, by_day * (1.0 - left_by_day) + left_by_day * dawn


def _first_guess(day: OxygenDay) -> float:
    """Oxygen at hour 0 by the closed form, between none and where bubbles leave, mg/L."""
    if not day.exchange_l_per_h:
        return day.saturation
    dawn, dusk = dawn_and_dusk(day)
    rate, lit = day.exchange_l_per_h / day.volume_l, day.is_lit(0.0)
    since = -day.light_on_h % HOURS_PER_DAY - (0.0 if lit else day.light_hours)
    goal = day.saturation - day.used_in_the_dark / day.exchange_l_per_h
    goal += day.made / day.exchange_l_per_h if lit else 0.0
    value = goal + ((dawn if lit else dusk) - goal) * math.exp(-rate * since)
    return min(max(value, 0.0), MOST_TIMES_SATURATION * day.saturation)


def _fish_by_half_steps(day: OxygenDay) -> list[float]:
    """What fish use at the start, middle and end of every step of the day, mg per hour."""
    hours = np.arange(2 * HOURS_PER_DAY * STEPS_PER_HOUR + 1) / (2.0 * STEPS_PER_HOUR)
    return [float(use) for use in day.fish * day.meal_factor(hours)]


def _changes(day: OxygenDay) -> _Change:
    """Change of oxygen in mg/L per hour by (value, made, fish) at one moment.

    A day takes thousands of them: what stays the same is looked up once.
    """
    volume, full, exchange = day.volume_l, day.saturation, day.exchange_l_per_h
    plants, bacteria, bed = day.plants, day.bacteria, day.bed

    def change(value: float, made: float, fish: float) -> float:
        used = (
            plants * value / (value + HALF_OF_PLANTS_MG_PER_L)
            + (fish if value >= CRITICAL_MG_PER_L else fish * value / CRITICAL_MG_PER_L)
            + bacteria * value / (value + HALF_OF_BACTERIA_MG_PER_L)
            + bed * value / (value + HALF_OF_BED_MG_PER_L)
        )
        return (exchange * (full - value) + made - used) / volume

    return change


def _next(change: _Change, most: float, value: float, made: float, fish: list[float]) -> float:
    """Oxygen five minutes on, never below nothing nor above `most`, where bubbles leave."""
    before, middle, end = fish
    first = change(value, made, before)
    second = change(value + _WIDTH / 2.0 * first, made, middle)
    third = change(value + _WIDTH / 2.0 * second, made, middle)
    fourth = change(value + _WIDTH * third, made, end)
    after = value + _WIDTH / 6.0 * (first + 2.0 * second + 2.0 * third + fourth)
    return min(max(after, 0.0), most)
