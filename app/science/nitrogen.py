"""Nitrogen from food: ammonia the fish give off, nitrate it becomes, and what plants take.

Amounts of nitrogen are in mg of N, nitrate in mg/L as the ion. Sums hold only on the basis of N.
"""

from __future__ import annotations

import math

from app.science.bounds import require_above_zero, require_within
from app.science.dilution import SettlePoint, fraction_to_hold, settles_at
from app.science.units import MOLAR_MASS_N, nh3_from_n, no3_from_n

N_PER_PROTEIN = 0.16
TAN_PER_PROTEIN = 0.092
"""0.16 nitrogen in protein, times 0.80 assimilated, 0.80 excreted, 0.90 as ammonia."""

MG_PER_G = 1000.0
MOLAR_MASS_NH4CL = 53.489
"""g/mol, from the abridged standard atomic weights (IUPAC 2021)."""


def ammonia_n_mg(feed_g: float, protein_share: float) -> float:
    """Ammonia nitrogen that fish give off from food they have eaten.

    Args:
        feed_g: Dry food in grams, of one day or of any other time, at least 0.
        protein_share: Share of crude protein, 0 to 1, from the label of the food.

    Returns:
        Total ammonia in mg as N, over the same time.

    Raises:
        ValueError: If a value lies outside its range.

    Source:
        Timmons and Ebeling (2013), Recirculating Aquaculture.
    """
    return _protein_mg(feed_g, protein_share) * TAN_PER_PROTEIN


def most_nitrogen_mg(feed_g: float, protein_share: float) -> float:
    """All the nitrogen in food: the upper bound, and what uneaten food ends as.

    Args:
        feed_g: Dry food in grams, at least 0.
        protein_share: Share of crude protein, 0 to 1.

    Returns:
        Nitrogen in mg as N.

    Raises:
        ValueError: If a value lies outside its range.

    Source:
        Protein is 16 % nitrogen by convention (crude protein is nitrogen times 6.25).
    """
    return _protein_mg(feed_g, protein_share) * N_PER_PROTEIN


def nitrate_rise_mg_per_l(
    nitrogen_mg: float, net_volume_l: float, share_taken_up: float = 0.0
) -> float:
    """Nitrate that a mature filter makes of ammonia nitrogen.

    Args:
        nitrogen_mg: Ammonia in mg as N, of one day or of any other time, at least 0.
        net_volume_l: Net water volume in liters, above 0.
        share_taken_up: Share that plants and others take, at most 1; negative where more nitrate
            appears than the food explains, as from rotting matter.

    Returns:
        Rise in mg/L as the ion NO3-, over the same time.

    Raises:
        ValueError: If a value lies outside its range.

    Source:
        Stoichiometry: each N becomes one nitrate ion.
    """
    require_within("nitrogen_mg", nitrogen_mg, 0.0)
    require_within("share_taken_up", share_taken_up, -math.inf, 1.0)
    require_above_zero("net_volume_l", net_volume_l)
    return no3_from_n(nitrogen_mg * (1.0 - share_taken_up) / net_volume_l)


def share_taken_up(expected_rise: float, measured_rise: float) -> float:
    """Share of the nitrate that plants and others took before a test could find it.

    Args:
        expected_rise: Rise that the food explains, above 0; any unit.
        measured_rise: Rise that the tests show over the same time, same unit; any sign.

    Returns:
        Share; negative where more appeared than expected, above 1 where nitrate fell.

    Raises:
        ValueError: If no rise was expected.
    """
    require_above_zero("expected_rise", expected_rise)
    return 1.0 - measured_rise / expected_rise


def days_until(value: float, target: float, rise_per_day: float) -> float:
    """Days until a steadily rising value arrives at a target.

    Args:
        value: Value now, any unit.
        target: Value looked out for, same unit.
        rise_per_day: Rise in that unit per day.

    Returns:
        Days; 0 where it is there already, infinite where it never will be, NaN from NaN.
    """
    if math.isnan(value + target + rise_per_day):
        return math.nan
    if value >= target:
        return 0.0
    return (target - value) / rise_per_day if rise_per_day > 0.0 else math.inf


def plant_dry_mass_g(bed_m2: float, g_per_m2: float) -> float:
    """Standing dry mass of plants from the bed they cover.

    Args:
        bed_m2: Area of the bed in square meters, at least 0.
        g_per_m2: Dry mass of their class in g per square meter, at least 0: about 20 sparse, 60
            moderate, 150 dense.

    Returns:
        Dry mass in grams, about a tenth of the wet mass.

    Raises:
        ValueError: If a value is negative.
    """
    require_within("bed_m2", bed_m2, 0.0)
    require_within("g_per_m2", g_per_m2, 0.0)
    return bed_m2 * g_per_m2


def plant_uptake_mg_per_day(
    dry_mass_g: float, growth_per_day: float, tissue_n_mg_per_g: float
) -> float:
    """Nitrogen that growing plants take out of the water.

    Args:
        dry_mass_g: Standing dry mass in grams, at least 0.
        growth_per_day: Share by which it grows in a day, 0 to 0.2; 0.01 in a dim tank.
        tissue_n_mg_per_g: Nitrogen in mg per g of dry tissue, at least 0; about 26.

    Returns:
        Uptake in mg of N per day.

    Raises:
        ValueError: If a value lies outside its range.

    Source:
        Nielsen and Sand-Jensen (1991) for growth: 0.007 to 0.109 per day among 14 species; Hill
        (1979) for tissue: 26.5 mg/g.
    """
    require_within("dry_mass_g", dry_mass_g, 0.0)
    require_within("growth_per_day", growth_per_day, 0.0, 0.2)
    require_within("tissue_n_mg_per_g", tissue_n_mg_per_g, 0.0)
    return dry_mass_g * growth_per_day * tissue_n_mg_per_g


def trimmed_nitrogen_mg(fresh_g: float, dry_share: float, tissue_n_mg_per_g: float) -> float:
    """Nitrogen that leaves the tank with plants that were cut.

    Args:
        fresh_g: Fresh mass in grams, at least 0.
        dry_share: Dry share of the fresh mass, 0 to 1; about 0.08 to 0.10.
        tissue_n_mg_per_g: Nitrogen in mg per g of dry tissue, at least 0; about 26.

    Returns:
        Nitrogen in mg as N.

    Raises:
        ValueError: If a value lies outside its range.

    Source:
        Hill (1979) for tissue: 26.5 mg/g, a mean of 3 species.
    """
    require_within("fresh_g", fresh_g, 0.0)
    require_within("dry_share", dry_share, 0.0, 1.0)
    require_within("tissue_n_mg_per_g", tissue_n_mg_per_g, 0.0)
    return fresh_g * dry_share * tissue_n_mg_per_g


def nitrate_per_day_mg_per_l(
    ammonia_n_mg_per_day: float,
    net_volume_l: float,
    *,
    plant_uptake_mg_per_day: float = 0.0,
    yield_share: float = 1.0,
) -> float:
    """Nitrate that a day of feeding leaves, less what plants take.

    Args:
        ammonia_n_mg_per_day: From ``ammonia_n_mg`` for a day's food, at least 0.
        net_volume_l: Net water volume in liters, above 0.
        plant_uptake_mg_per_day: From ``plant_uptake_mg_per_day``, at least 0.
        yield_share: Nitrate N that appears for each N of ammonia, at least 0: 0.8 where some is
            lost in deep sand, up to 1.6 where solids rot.

    Returns:
        Change in mg/L as the ion NO3- per day; negative where plants take more.

    Raises:
        ValueError: If a value lies outside its range.

    Source:
        Stoichiometry: each N becomes one nitrate ion.
    """
    require_within("ammonia_n_mg_per_day", ammonia_n_mg_per_day, 0.0)
    require_within("plant_uptake_mg_per_day", plant_uptake_mg_per_day, 0.0)
    require_within("yield_share", yield_share, 0.0)
    require_above_zero("net_volume_l", net_volume_l)
    left_mg = ammonia_n_mg_per_day * yield_share - plant_uptake_mg_per_day
    return no3_from_n(left_mg / net_volume_l)


def nitrate_between_changes(
    tap_mg_per_l: float, rise_per_day: float, days: float, fraction: float
) -> SettlePoint:
    """Nitrate at which a tank settles: its peak before each change and the level after it.

    Args:
        tap_mg_per_l: Nitrate of the new water in mg/L, at least 0.
        rise_per_day: From ``nitrate_per_day_mg_per_l``, same basis.
        days: Days between two changes, above 0.
        fraction: Share of the net volume changed each time, above 0, at most 1.

    Returns:
        Peak (``before_change``) and level ``after_change`` in mg/L.

    Raises:
        ValueError: If a value lies outside its range.
    """
    require_above_zero("days", days)
    return settles_at(tap_mg_per_l, days * rise_per_day, fraction)


def fraction_for_peak(
    target_mg_per_l: float, tap_mg_per_l: float, rise_per_day: float, days: float
) -> float:
    """Share to change every time so that the nitrate peak settles at a target.

    More than half every time means: feed less or keep fewer animals, not more water.

    Args:
        target_mg_per_l: Peak wanted in mg/L, at least 0.
        tap_mg_per_l: Nitrate of the new water, at least 0, same basis.
        rise_per_day: From ``nitrate_per_day_mg_per_l``, at least 0.
        days: Days between two changes, above 0.

    Returns:
        Fraction from 0 to 1.

    Raises:
        CannotBeReached: If the tap water is not below the target, or no change is large enough.
        ValueError: If a value lies outside its range.
    """
    require_above_zero("days", days)
    return fraction_to_hold(target_mg_per_l, tap_mg_per_l, days * rise_per_day)


def ammonia_solution_ml(n_mg_per_l: float, net_volume_l: float, nh3_g_per_100_ml: float) -> float:
    """Ammonia solution that brings water without animals to a total ammonia.

    Args:
        n_mg_per_l: Rise wanted in mg/L as N, at least 0.
        net_volume_l: Net water volume in liters, above 0.
        nh3_g_per_100_ml: Strength by the label: grams of NH3 in 100 mL, above 0, at most 35.

    Returns:
        Milliliters of the solution.

    Raises:
        ValueError: If a value lies outside its range.

    Source:
        Stoichiometry: one N in each NH3.
    """
    require_within("n_mg_per_l", n_mg_per_l, 0.0)
    require_above_zero("net_volume_l", net_volume_l)
    require_above_zero("nh3_g_per_100_ml", nh3_g_per_100_ml)
    require_within("nh3_g_per_100_ml", nh3_g_per_100_ml, 0.0, 35.0)
    nh3_mg = nh3_from_n(n_mg_per_l) * net_volume_l
    return nh3_mg / (nh3_g_per_100_ml * MG_PER_G / 100.0)


def ammonium_chloride_g(n_mg_per_l: float, net_volume_l: float, share: float = 1.0) -> float:
    """Ammonium chloride that brings water without animals to a total ammonia.

    Args:
        n_mg_per_l: Rise wanted in mg/L as N, at least 0.
        net_volume_l: Net water volume in liters, above 0.
        share: Share of ammonium chloride in the powder by its label, above 0, at most 1.

    Returns:
        Grams of the powder.

    Raises:
        ValueError: If a value lies outside its range.

    Source:
        Stoichiometry: one N in each NH4Cl.
    """
    require_within("n_mg_per_l", n_mg_per_l, 0.0)
    require_above_zero("net_volume_l", net_volume_l)
    require_above_zero("share", share)
    require_within("share", share, 0.0, 1.0)
    return n_mg_per_l * net_volume_l / MG_PER_G * MOLAR_MASS_NH4CL / MOLAR_MASS_N / share


def _protein_mg(feed_g: float, protein_share: float) -> float:
    require_within("feed_g", feed_g, 0.0)
    require_within("protein_share", protein_share, 0.0, 1.0)
    return feed_g * MG_PER_G * protein_share
