"""Nitrogen from food: ammonia that the fish give off, and nitrate that it becomes.

Amounts of nitrogen are in mg of N, nitrate in mg/L as the ion. Sums hold only on the basis of N.
"""

from __future__ import annotations

import math

from app.science.bounds import require_above_zero, require_within
from app.science.units import MOLAR_MASS_N, no3_from_n

N_PER_PROTEIN = 0.16
TAN_PER_PROTEIN = 0.092
"""0.16 nitrogen in protein, times 0.80 assimilated, 0.80 excreted, 0.90 as ammonia."""

MG_PER_G = 1000.0

# g/mol, from the abridged standard atomic weights (IUPAC 2021)
MOLAR_MASS_CL2 = 70.90


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


def n_from_chloramine(chloramine_mg_per_l: float) -> float:
    """Ammonia that chloramine in tap water leaves behind when conditioner takes its chlorine.

    Args:
        chloramine_mg_per_l: Chloramine in mg/L as Cl2, as water reports give it, at least 0.

    Returns:
        Total ammonia in the new water in mg/L as N, besides what the tap water holds already.

    Raises:
        ValueError: If a value is negative.

    Source:
        Stoichiometry: one N for each Cl2 of chlorine residual in monochloramine.
    """
    require_within("chloramine_mg_per_l", chloramine_mg_per_l, 0.0)
    return chloramine_mg_per_l * MOLAR_MASS_N / MOLAR_MASS_CL2


def _protein_mg(feed_g: float, protein_share: float) -> float:
    require_within("feed_g", feed_g, 0.0)
    require_within("protein_share", protein_share, 0.0, 1.0)
    return feed_g * MG_PER_G * protein_share
