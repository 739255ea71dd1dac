"""The food of a day, from the meals that were written, and its protein."""

from datetime import timedelta

from app.domain.snapshot import TankSnapshot
from app.estimates.model import Input, Origin, exact
from app.knowledge.model import Knowledge


def grams_a_day(snapshot: TankSnapshot, knowledge: Knowledge) -> float | None:
    """Food a day in grams over the last days; None where a meal's grams are not known."""
    first = snapshot.today - timedelta(days=knowledge.value("nitrate.feed-days") - 1)
    meals = [f for f in snapshot.feedings if f.local_day >= first]
    if not meals:
        return None
    days = (snapshot.today - meals[0].local_day).days + 1
    grams = [f.grams for f in meals if f.grams is not None]
    if len(grams) < len(meals) or days < knowledge.value("nitrate.feed-least-days"):
        return None
    return sum(grams) / days


def protein_of(snapshot: TankSnapshot, knowledge: Knowledge) -> Input:
    """Protein of the food in percent: as its label says, else assumed."""
    written = snapshot.tank.food_protein_percent
    return exact(
        "protein",
        "Protein of the food",
        knowledge.value("plants.food-protein") if written is None else written,
        "%",
        origin=Origin.ASSUMED if written is None else Origin.WRITTEN,
        decimals=0,
    )
