"""Ice water, against which thermometers are held, with two equations of state of water.

gsw carries TEOS-10 (freezing of pure water at the surface), CoolProp the melting line of IAPWS.
Both give the temperature at which ice and water stand together at one atmosphere.
"""

import gsw
import pytest
from CoolProp.CoolProp import AbstractState, iP, iT

from app.services.comparisons import ice_water_celsius

ONE_ATMOSPHERE_PA = 101_325.0
LOW_TOWN_PA, HIGH_TOWN_PA = 106_000.0, 52_000.0  # below the sea, and at 5,300 m
FINEST_STEP_C = 0.1  # no thermometer of a tank shows less


def _melting_c(pressure_pa: float) -> float:
    water = AbstractState("HEOS", "Water")
    return float(water.melting_line(iT, iP, pressure_pa)) - 273.15


def test_ice_water_is_at_zero() -> None:
    assert ice_water_celsius() == pytest.approx(gsw.t_freezing(0.0, 0.0, 0.0), abs=0.005)
    assert ice_water_celsius() == pytest.approx(_melting_c(ONE_ATMOSPHERE_PA), abs=0.005)


@pytest.mark.parametrize("pressure_pa", [LOW_TOWN_PA, HIGH_TOWN_PA])
def test_how_high_a_place_lies_does_not_matter(pressure_pa: float) -> None:
    assert abs(_melting_c(pressure_pa) - ice_water_celsius()) < FINEST_STEP_C / 2
