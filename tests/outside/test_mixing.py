"""Water changes, evaporation and mixed temperatures against simulation and the balance of heat."""

import gsw
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from scipy import integrate, optimize

from app.science import dilution
from tests.outside.check import Check, Pair, difference, says

# the constant of TEOS-10 between heat content and its temperature, J/(kg K)
TEOS10_CP0 = 3991.86795711963
TANK_L, NEW_L = 51.0, 34.0
TEMPERATURES = [(tank, new) for tank in (18.0, 25.0, 30.0) for new in (5.0, 18.0, 40.0)]


def _mixed() -> list[float]:
    return [dilution.mixing_temperature(tank, TANK_L, new, NEW_L) for tank, new in TEMPERATURES]


def _gsw_heat() -> Pair:
    # fresh water at the surface: heat content and mass are kept, then read back as °C
    theirs = []
    for pair in TEMPERATURES:
        masses = [
            gsw.rho_t_exact(0, t, 0) * liters
            for t, liters in zip(pair, (TANK_L, NEW_L), strict=True)
        ]
        heats = [gsw.enthalpy_t_exact(0, t, 0) for t in pair]
        mixed = (masses[0] * heats[0] + masses[1] * heats[1]) / sum(masses)
        theirs.append(float(gsw.t_from_CT(0, mixed / TEOS10_CP0, 0)))
    return _mixed(), theirs


def _coolprop_heat() -> Pair:
    def of(what: str, celsius: float) -> float:
        return float(PropsSI(what, "T", celsius + 273.15, "P", 101325, "Water"))

    theirs = []
    for tank, new in TEMPERATURES:
        masses = of("D", tank) * TANK_L, of("D", new) * NEW_L
        heat = (masses[0] * of("H", tank) + masses[1] * of("H", new)) / sum(masses)
        mixed = optimize.brentq(lambda c, heat=heat: of("H", c) - heat, 1.0, 60.0)
        theirs.append(mixed)
    return _mixed(), theirs


def _weeks(tap: float, rise: float, fraction: float) -> float:
    """Level before a change after some years of weeks, step by step."""
    before = tap
    for _ in range(2000):
        before = before * (1.0 - fraction) + tap * fraction + rise
    return before


def _settled() -> Pair:
    cases = [(5.0, 3.77, 0.25), (5.0, 3.77, 0.1), (10.0, 4.48, 0.25), (8.0, -0.34, 0.25)]
    ours = [dilution.settles_at(*case).before_change for case in cases]
    return ours, [_weeks(*case) for case in cases]


def _evaporating() -> Pair:
    """Hardness of 100 L in years of weekly quarters and 1 L a day evaporated and replaced."""

    def simulated(top_up: float) -> float:
        load = 200.0 * 100.0
        for _ in range(400):
            load *= 0.75
            load += 200.0 * 25.0 + top_up * 7.0
        return load / 100.0

    ours = [
        dilution.settles_at(200.0, dilution.rise_from_top_ups(t, 7.0, 100.0), 0.25).before_change
        for t in (200.0, 100.0, 0.0)
    ]
    return ours, [simulated(t) for t in (200.0, 100.0, 0.0)]


CHECKS = (
    Check(
        "Temperature of mixed water",
        "the balance of heat by gsw",
        "tank 18 to 30 °C, new water 5 to 40 °C",
        "°C",
        0.05,
        "gsw 3.6, TEOS-10",
        _gsw_heat,
    ),
    Check(
        "Temperature of mixed water",
        "the balance of heat by CoolProp",
        "tank 18 to 30 °C, new water 5 to 40 °C",
        "°C",
        0.05,
        "CoolProp 8.0, IAPWS-95",
        _coolprop_heat,
    ),
    Check(
        "Level at which a tank settles",
        "a simulation week by week",
        "4 tanks, 2000 weeks",
        "mg/L",
        1e-6,
        "balance of mass",
        _settled,
    ),
    Check(
        "Hardness with evaporation",
        "a simulation week by week",
        "3 kinds of top-up water, 400 weeks",
        "mg/L",
        1e-6,
        "balance of mass",
        _evaporating,
    ),
)


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_it_agrees_with_the_outside(check: Check) -> None:
    assert difference(check) <= check.allowed, says(check)


def test_many_small_changes_come_near_a_steady_flow() -> None:
    # dC/dt = q / V (Cr - C), solved by scipy: 40 L through 85 L, in a thousand small changes
    solution = integrate.solve_ivp(
        lambda _, c: [40.0 / 85.0 * (5.0 - c[0])], (0.0, 1.0), [30.0], rtol=1e-10, atol=1e-10
    )
    ours = dilution.after_changes(30.0, 5.0, 40.0 / 85.0 / 1000, 1000)
    assert ours == pytest.approx(solution.y[0, -1], abs=0.005)


def test_two_quarters_are_not_a_half() -> None:
    # common practice adds them up; the balance leaves 56.25 %
    assert dilution.after_changes(100.0, 0.0, 0.25, 2) == pytest.approx(56.25)


def test_the_box_size_makes_the_fraction_too_small() -> None:
    # 34 L of 85 L net are 40 %; of the "112 L" on the box only 30 %
    by_net, by_box = (dilution.after_change(30.0, 5.0, 34.0 / v) for v in (85.0, 112.0))
    assert by_net == pytest.approx(20.0)
    assert by_box - by_net == pytest.approx(2.4, abs=0.05)


def test_ph_does_not_mix_like_a_salt() -> None:
    # halves of pH 6 and pH 8 in water that binds no acid: 10^-6 and 10^-8 mix, not 6 and 8
    mixed = -np.log10(dilution.after_change(1e-6, 1e-8, 0.5))
    assert abs(mixed - dilution.after_change(6.0, 8.0, 0.5)) > 0.6
