"""Heat against gsw, CoolProp, steam tables, handbook forms in other units, and a solver."""

import gsw
import numpy as np
import pytest
from CoolProp.HumidAirProp import HAPropsSI
from scipy import integrate

from app.science import heat
from app.science.oxygen import vapor_pressure_atm
from tests.outside.check import Check, Pair, difference, says


def _liter() -> Pair:
    celsius = np.linspace(18.0, 30.0, 13)
    joule = gsw.cp_t_exact(0, celsius, 0) * gsw.rho_t_exact(0, celsius, 0) / 1000
    return np.full_like(celsius, heat.WATER_WH_PER_L_C), joule / 3600


def _moist_air() -> Pair:
    ours, theirs = [], []
    for celsius in (15.0, 20.0, 25.0, 30.0):
        for humidity in (0.3, 0.5, 0.7):
            ours.append(humidity * vapor_pressure_atm(celsius) * 101325)
            theirs.append(HAPropsSI("P_w", "T", celsius + 273.15, "P", 101325, "R", humidity))
    return ours, theirs


def _evaporation() -> Pair:
    # Smith, Löf and Jones (1998): 95 + 0.425 v, Btu / (h ft2 inHg), v in ft/min; times 0.74.
    # 25 °C water, 20 °C air of 50 %: 3.169 - 0.5 * 2.339 kPa of the steam tables.
    speeds = (0.0, 0.1, 0.3)
    theirs = [
        0.74 * (95 + 0.425 * v / 0.3048 * 60) * 3.15459 * (3.169 - 0.5 * 2.339) / 3.386389
        for v in speeds
    ]
    return [heat.evaporation_w_per_m2(25.0, 20.0, 0.5, v) for v in speeds], theirs


def _cooling() -> Pair:
    hours = (1.0, 4.0, 9.0, 24.0)
    solution = integrate.solve_ivp(
        lambda _, c: [(18.0 - c[0]) / 7.4],
        (0.0, 24.0),
        [25.0],
        t_eval=hours,
        rtol=1e-10,
        atol=1e-10,
    )
    return [heat.cooled_c(25.0, 18.0, h, 7.4) for h in hours], solution.y[0]


CHECKS = (
    Check(
        "Heat that a liter of water holds",
        "gsw, an oceanographic library",
        "18 to 30 °C",
        "%",
        0.7,
        "gsw 3.6, TEOS-10",
        _liter,
    ),
    Check(
        "Vapor pressure of room air",
        "CoolProp, a library of fluid properties",
        "15 to 30 °C, 30 to 70 % humidity",
        "%",
        0.6,
        "CoolProp 8.0, ASHRAE RP-1485",
        _moist_air,
    ),
    Check(
        "Heat lost by evaporation",
        "the form of the handbook in US units",
        "25 °C water, 20 °C room, up to 0.3 m/s",
        "%",
        1.0,
        "Smith, Löf and Jones (1998), ASHRAE Trans. 104(1)",
        _evaporation,
    ),
    Check(
        "Cooling of a tank",
        "a numerical solver",
        "24 hours",
        "°C",
        1e-6,
        "scipy, solve_ivp",
        _cooling,
    ),
)


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_it_agrees_with_the_outside(check: Check) -> None:
    assert difference(check) <= check.allowed, says(check)


def test_glass_with_water_behind_it_is_no_window() -> None:
    # ISO 6946 resistances, 1.0 W/(m K) of EN 572-1, 100 W/(m2 K) on the water side (textbooks)
    wall = 1 / (1 / 100 + 0.006 / 1.0 + 0.13)
    assert pytest.approx(wall, rel=0.03) == heat.GLASS_W_PER_M2_C
    # the published 5.8 W/(m2 K) of a window of one 4 mm pane has air on both sides
    assert pytest.approx(5.8, abs=0.06) == 1 / (0.13 + 0.004 + 0.04)
    assert heat.GLASS_W_PER_M2_C > 5.8


def test_surface_coefficient_is_convection_and_radiation() -> None:
    # 4.4 from the analogy of heat and vapor (0.067 kPa/K times 66), and the law of radiation
    radiation = 4 * 0.95 * 5.670374e-8 * 298.15**3
    assert pytest.approx(4.4 + radiation, rel=0.02) == heat.OPEN_SURFACE_W_PER_M2_C


def test_latent_heat_of_the_steam_tables() -> None:
    # 2441.7 kJ/kg at 25 °C (from memory); gsw carries a simplified fit for the same
    assert pytest.approx(2.4417e6, rel=2e-4) == heat.LATENT_HEAT_J_PER_KG
    assert pytest.approx(gsw.latentheat_evap_t(0, 25.0), rel=2e-3) == heat.LATENT_HEAT_J_PER_KG


def test_power_that_warms_a_tank_by_the_us_unit() -> None:
    # 1 Btu warms 1 lb by 1 °F; 100 lb of water, 10 °F, 2 h are 500 Btu/h = 146.5 W
    liters = 100 * 0.45359237
    assert heat.warming_power_w(liters, 10 / 1.8, 2.0) == pytest.approx(146.5, rel=2e-3)
