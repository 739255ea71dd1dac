"""Oxygen through day and night against an independent solver, over random tanks."""

import itertools

import numpy as np
import pytest
from scipy import integrate

from app.science import oxygen_day
from app.science.oxygen import saturation_mg_per_l
from app.science.oxygen_day import OxygenDay
from tests.outside.check import Check, Pair, difference, says

TANKS = 200
SETTLED = 1e-4
GRID_H = 1.0 / oxygen_day.STEPS_PER_HOUR


def _random_day(random: np.random.Generator) -> OxygenDay:
    """A tank between 20 and 200 L, lamp and meal at a five-minute mark as tanks are kept."""
    volume = random.uniform(20.0, 200.0)
    surface_m2 = volume / 1000.0 / random.uniform(0.2, 0.45)
    at = [round(hour / GRID_H) * GRID_H for hour in random.uniform(5.0, 11.0, 2)]
    return OxygenDay(
        volume_l=volume,
        saturation=float(saturation_mg_per_l(random.uniform(20.0, 29.0))),
        exchange_l_per_h=1000.0 * random.uniform(0.01, 0.08) * surface_m2,
        made=volume * random.uniform(0.0, 0.8),
        plants=volume * random.uniform(0.0, 0.2),
        fish=volume * random.uniform(0.02, 0.25),
        bacteria=volume * random.uniform(0.0, 0.1),
        bed=volume * random.uniform(0.0, 0.1),
        light_on_h=at[0],
        light_hours=round(random.uniform(6.0, 12.0) / GRID_H) * GRID_H,
        meals=((at[1] + 2.0, random.uniform(0.0, 0.5)),),
    )


def _solved(day: OxygenDay) -> np.ndarray:
    """The same balance by scipy, from one switch or meal to the next; hours 0 to 24."""

    def change(hour: float, value: np.ndarray, made: float) -> np.ndarray:
        used = (
            day.plants * value / (value + 0.3)
            + day.fish * day.meal_factor(hour) * np.minimum(1.0, value)
            + day.bacteria * value / (value + 0.5)
            + day.bed * value / (value + 0.7)
        )
        brought = day.exchange_l_per_h * (day.saturation - value)
        return np.asarray((brought + made - used) / day.volume_l)

    off = (day.light_on_h + day.light_hours) % 24.0
    marks = sorted({0.0, 24.0, day.light_on_h, off, *(at for at, _ in day.meals)})
    value, wanted = day.saturation, np.arange(25.0)
    for _ in range(oxygen_day.MOST_DAYS):
        first, found = value, []
        for start, end in itertools.pairwise(marks):
            made = day.made if day.is_lit((start + end) / 2.0) else 0.0
            inside = wanted[(wanted >= start) & (wanted < end)]
            part = integrate.solve_ivp(
                change, (start, end), [value], t_eval=[*inside, end], args=(made,),
                method="LSODA", rtol=1e-8, atol=1e-9,
            )  # fmt: skip
            found.extend(part.y[0][:-1])
            value = part.y[0][-1]
        if abs(value - first) < SETTLED:
            break
    found.append(value)
    return np.minimum(found, oxygen_day.MOST_TIMES_SATURATION * day.saturation)


def _random_tanks() -> Pair:
    random = np.random.default_rng(46)
    days = [_random_day(random) for _ in range(TANKS)]
    ours = [oxygen_day.settled_course(d).mg_per_l[:: oxygen_day.STEPS_PER_HOUR] for d in days]
    theirs = [_solved(d) for d in days]
    # bubbles leave above a limit, which the solver does not know: those days are left out
    ceiling = [oxygen_day.MOST_TIMES_SATURATION * d.saturation - 1e-6 for d in days]
    kept = [
        np.full_like(t, np.nan) if (t >= c).any() else t
        for t, c in zip(theirs, ceiling, strict=True)
    ]
    assert sum(not np.isnan(t).any() for t in kept) > TANKS / 2
    return np.array(ours), np.array(kept)


CHECKS = (
    Check(
        "Oxygen through a day and a night",
        f"scipy, an ODE solver, on {TANKS} random tanks",
        "20 to 200 L, 20 to 29 °C",
        "mg/L",
        0.01,
        "scipy, solve_ivp (LSODA)",
        _random_tanks,
    ),
)


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_day_and_night(check: Check) -> None:
    assert difference(check) <= check.allowed, says(check)
