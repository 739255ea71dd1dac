"""What standing does to tap water: half its chlorine goes overnight, of chloramine hardly any.

Rates differ from water to water by more than this arithmetic can say. Standing is no way to get
tap water ready: conditioner is, by its label.
"""

from __future__ import annotations

import math

from app.science.bounds import FloatOrArray, require_above_zero, require_within
from app.science.elementwise import exp


def left_after_standing(
    start_mg_per_l: FloatOrArray, loss_per_hour: float, hours: float
) -> FloatOrArray:
    """Chlorine or chloramine left in water that has stood for some hours.

    Args:
        start_mg_per_l: Residual at the start in mg/L as Cl2, at least 0; any shape.
        loss_per_hour: Share lost per hour at the start, at least 0: free chlorine 0.03 to 0.04,
            chloramine 0.002 to 0.003, and 0.015 where the water is bubbled.
        hours: Time of standing, at least 0.

    Returns:
        Residual in mg/L as Cl2.

    Raises:
        ValueError: If a value is negative.

    Source:
        Decay of the first order; for rates Sheikhi et al. (2021), Toxin Reviews 40, 1407-1420,
        and Garcia and Anderson (2017), Chemosphere 192, 244-249.
    """
    require_within("start_mg_per_l", start_mg_per_l, 0.0)
    require_within("loss_per_hour", loss_per_hour, 0.0)
    require_within("hours", hours, 0.0)
    return start_mg_per_l * exp(-loss_per_hour * hours)


def hours_of_standing(start_mg_per_l: float, end_mg_per_l: float, loss_per_hour: float) -> float:
    """Hours of standing until a residual has fallen to an end.

    Args:
        start_mg_per_l: Residual at the start in mg/L as Cl2, above 0.
        end_mg_per_l: Residual looked out for, above 0: a decay never arrives at nothing.
        loss_per_hour: Share lost per hour, at least 0, as for ``left_after_standing``.

    Returns:
        Hours; 0 where it is there already, infinite where nothing is lost.

    Raises:
        ValueError: If a value lies outside its range.
    """
    require_above_zero("start_mg_per_l", start_mg_per_l)
    require_above_zero("end_mg_per_l", end_mg_per_l)
    require_within("loss_per_hour", loss_per_hour, 0.0)
    if start_mg_per_l <= end_mg_per_l:
        return 0.0
    decay = math.log(start_mg_per_l / end_mg_per_l)
    return decay / loss_per_hour if loss_per_hour != 0.0 else math.inf
