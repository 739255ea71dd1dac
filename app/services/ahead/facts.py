"""How facts and sums of Look ahead are written."""

from typing import Final

from app.domain.wording import NBSP, decimal, number, with_unit
from app.estimates.model import Triple
from app.science.nitrogen import TAN_PER_PROTEIN
from app.services.workings.model import Sum

Facts = tuple[tuple[str, str], ...]
"""What, and what is known of it, in words."""

NO_PLAN: Final = "No change is planned."


def between(values: Triple, decimals: int, unit: str, over: str = "") -> str:
    """The best guess with its ends: "3.0 mg/L in a week, could be 2.1 to 4.0"."""
    low, best, high = (decimal(value, decimals) for value in values)
    return f"{with_unit(best, unit)}{over}, could be {low} to {high}"


def nitrogen_sum(grams: float, protein: float, nitrogen: float) -> Sum:
    """The nitrogen of a day, as mg of N, from grams and the share of protein."""
    factors = f"{number(protein, 3)} × {number(TAN_PER_PROTEIN, 3)}"
    return Sum(
        "Nitrogen that the fish give off in a day",
        f"{decimal(grams, 2)} × 1000 × {factors} =",
        f"{decimal(nitrogen, 2)}{NBSP}mg",
    )
