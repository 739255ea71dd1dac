"""How long one call of each function of `app.science` takes with plain numbers.

Run ``python -m tests.bench.science``. Each line shows the median time beside its floor, an empty
Python function called with as many arguments in the same run. Nothing is asserted.
"""

import statistics
import timeit
from collections.abc import Callable
from functools import partial
from typing import Any

from app.science import (
    ammonia,
    carbonate,
    dilution,
    hardness,
    heat,
    metabolism,
    nitrogen,
    oxygen,
    shapes,
    tap_water,
    units,
    volume,
)
from app.science.hardness import HardnessUnit

CALLS = 2000
ROUNDS = 15
WANTED_US = 20.0

Call = partial[Any]

_BOWL = shapes.Bowl(30.0, 10.0)
_BOW = shapes.bow_front(80.0, 30.0, 8.0)
_OXYGEN = {"saturation_mg_per_l": 8.26, "uptake_mg_per_l_h": 0.2}
_SAND = {"sand_front_cm": 4.0, "sand_back_cm": 8.0, "pore_share": 0.4}

CASES: tuple[Call, ...] = (
    partial(ammonia.pka, 25.0),
    partial(ammonia.unionized_fraction, 7.4, 25.0),
    partial(ammonia.unionized_mg_per_l, 0.5, 7.4, 25.0),
    partial(ammonia.unionized_range, 0.25, 1.0, 7.2, 7.6, 24.0, 25.0),
    partial(ammonia.epa2013_chronic, 7.4, 25.0),
    partial(ammonia.epa2013_acute, 7.4, 25.0),
    partial(carbonate.pk1, 25.0),
    partial(carbonate.pk2, 25.0),
    partial(carbonate.pkw, 25.0),
    partial(carbonate.ionic_strength_from_conductivity, 300.0),
    partial(carbonate.co2_mg_per_l, 4.0, 7.0, 25.0, 0.005),
    partial(carbonate.alkalinity_used_by_nitrification_dkh, 1.0),
    partial(dilution.after_change, 30.0, 5.0, 0.3),
    partial(dilution.after_changes, 30.0, 5.0, 0.3, 4),
    partial(dilution.fraction_for_target, 30.0, 20.0, 5.0),
    partial(dilution.changes_for_target, 30.0, 20.0, 5.0, 0.2),
    partial(dilution.settles_at, 5.0, 3.77, 0.25),
    partial(dilution.fraction_to_hold, 25.0, 10.0, 4.5),
    partial(dilution.after_evaporation, 20.0, 85.0, 3.0),
    partial(dilution.after_top_up, 20.0, 5.0, 82.0, 3.0),
    partial(dilution.rise_from_top_ups, 8.0, 7.0, 85.0),
    partial(dilution.mixing_temperature, 25.0, 51.0, 18.0, 34.0),
    partial(dilution.lowest_new_water_c, 25.0, 51.0, 34.0, 1.0),
    partial(dilution.conditioner_ml, 34.0, 5.0, 50.0),
    partial(dilution.salt_g, 1.0, 85.0),
    partial(dilution.removed_by_change, 85.0, 0.3),
    partial(dilution.n_from_chloramine, 2.0),
    partial(hardness.convert, 4.0, HardnessUnit.GERMAN_DEGREE, HardnessUnit.MEQ_PER_L),
    partial(hardness.dgh_from_ions, 60.0, 12.0),
    partial(heat.water_density_kg_per_m3, 25.0),
    partial(heat.evaporation_w_per_m2, 25.0, 20.0, 0.5),
    partial(heat.evaporation_mm_per_day, 25.0, 20.0, 0.5),
    partial(
        heat.heat_loss,
        glass_m2=0.6,
        base_m2=0.18,
        surface_m2=0.18,
        water_c=25.0,
        room_c=20.0,
        relative_humidity=0.5,
        covered=False,
    ),
    partial(heat.warming_power_w, 85.0, 5.0, 6.0),
    partial(heat.cooled_c, 25.0, 18.0, 4.0, 7.4),
    partial(heat.time_constant_h, 25.0, 24.0, 18.0, 3.0),
    partial(heat.hours_to_reach, 25.0, 22.0, 18.0, 19.5),
    partial(heat.loss_w_per_c, 85.0, 19.5),
    partial(heat.held_c, 50.0, 5.1, 12.0),
    partial(heat.holding_power_w, 25.0, 18.0, 5.1),
    partial(metabolism.mass_g, 4.0, 0.0112, 3.04),
    partial(metabolism.routine_oxygen_mg_per_h, 0.5, 25.0),
    partial(metabolism.maintenance_ration_mg_per_day, 0.5, 25.0),
    partial(nitrogen.ammonia_n_mg, 0.25, 0.45),
    partial(nitrogen.nitrate_rise_mg_per_l, 10.35, 85.0),
    partial(nitrogen.share_taken_up, 3.77, 3.0),
    partial(nitrogen.days_until, 12.0, 20.0, 0.5),
    partial(nitrogen.plant_dry_mass_g, 0.18, 60.0),
    partial(nitrogen.plant_uptake_mg_per_day, 10.8, 0.01, 26.5),
    partial(nitrogen.nitrate_per_day_mg_per_l, 5.8, 40.0, plant_uptake_mg_per_day=2.86),
    partial(nitrogen.nitrate_between_changes, 10.0, 0.64, 7.0, 0.25),
    partial(nitrogen.fraction_for_peak, 25.0, 10.0, 0.64, 7.0),
    partial(oxygen.vapor_pressure_atm, 25.0),
    partial(oxygen.pressure_from_altitude_atm, 500.0),
    partial(oxygen.saturation_mg_per_l, 25.0, 0.95),
    partial(oxygen.percent_saturation, 7.0, 25.0),
    partial(oxygen.surface_exchange_per_hour, 0.03, 0.18, 40.0),
    partial(oxygen.transfer_velocity_m_per_h, 0.03, 25.0),
    partial(oxygen.air_stone_exchange_per_hour, 1.0, 40.0, 30.0),
    partial(
        oxygen.after_hours_mg_per_l,
        start_mg_per_l=8.0,
        exchange_per_hour=0.15,
        hours=14.0,
        **_OXYGEN,
    ),
    partial(
        oxygen.hours_until_line,
        start_mg_per_l=8.0,
        line_mg_per_l=5.0,
        exchange_per_hour=0.04,
        **_OXYGEN,
    ),
    partial(
        oxygen.exchange_from_readings_per_hour,
        start_mg_per_l=8.0,
        later_mg_per_l=6.0,
        hours=10.0,
        **_OXYGEN,
    ),
    partial(oxygen.transfer_velocity_from_exchange_m_per_h, 0.15, 0.18, 40.0),
    partial(oxygen.oxygen_used_by_nitrification_mg, 5.8),
    partial(tap_water.left_after_standing, 1.0, 0.035, 24.0),
    partial(tap_water.hours_of_standing, 1.0, 0.02, 0.035),
    partial(units.celsius_from_fahrenheit, 77.0),
    partial(units.liters_from_us_gallons, 20.0),
    partial(units.kg_from_pounds, 10.0),
    partial(units.salt_ppt_from_g_per_l, 5.0),
    partial(units.no3_from_n, 10.0),
    partial(shapes.bow_front, 80.0, 30.0, 8.0),
    partial(_BOW.bed_l, 4.0, 8.0),
    partial(_BOWL.volume_l, 20.0),
    partial(_BOWL.level_cm, 8.0),
    partial(volume.box_l, 78.0, 34.0, 36.0),
    partial(volume.net_volume_l, length_cm=78.0, width_cm=34.0, water_depth_cm=36.0, **_SAND),
    partial(volume.net_volume_of, _BOW, water_depth_cm=36.0, **_SAND),
    partial(volume.sand_mass_kg, 13.26, 1.55),
    partial(volume.level_change_cm, 78.0, 34.0, 30.0),
    partial(volume.level_after_cm, _BOWL, 20.0, -2.0),
    partial(volume.glass_mass_kg, length_cm=60.0, width_cm=30.0, height_cm=36.0, thickness_mm=6.0),
    partial(volume.filled_mass_kg, net_l=85.0, sand_dry_kg=20.0, decor_kg=6.0, glass_kg=18.0),
)


def _nothing(*_: object, **__: object) -> None:
    """The floor."""


def median_us(call: Callable[[], Any]) -> float:
    """Median time of one call over some rounds, in microseconds."""
    timer = timeit.Timer(call)
    return statistics.median(timer.repeat(ROUNDS, CALLS)) / CALLS * 1e6


def main() -> None:
    """Print one line for each function, and how many take longer than is wanted."""
    print(f"{'function':58} {'µs':>8} {'floor':>8}")  # noqa: T201
    slow = 0
    for case in CASES:
        owner = getattr(case.func, "__qualname__", "?")
        home = case.func.__module__.rpartition(".")[2]
        here = median_us(case)
        floor = median_us(partial(_nothing, *case.args, **case.keywords))
        slow += here > WANTED_US
        print(f"{home + '.' + owner:58} {here:8.2f} {floor:8.2f}")  # noqa: T201
    print(f"{len(CASES)} functions, {slow} above {WANTED_US:g} µs")  # noqa: T201


if __name__ == "__main__":
    main()
