"""The guided lessons in their order: what fills each, and where to write down after it."""

from typing import Final

from app.services.lessons.guided_chance import guesses, shuffled
from app.services.lessons.guided_counting import monday, readers, scoop
from app.services.lessons.guided_food import food, year
from app.services.lessons.guided_living import breathing, case, fair
from app.services.lessons.guided_warmth import cooling
from app.services.lessons.guided_water import change, settle, volume
from app.services.lessons.model import Guided

MONTH: Final = "month"
"""The key of the lesson that the lesson maker fills."""

_TEST: Final = ("Write a test down", "writing.test")
_WARMTH: Final = ("Write down the temperature", "writing.test")

GUIDED: Final = (
    Guided("volume", volume, (("Keep these measures", "tank.change"),)),
    Guided("scoop", scoop, (("Keep the weight", "tank.scoop"),)),
    Guided("readers", readers, (_TEST,)),
    Guided("monday", monday, (_WARMTH,)),
    Guided("guesses", guesses, (("Guesses", "ahead.predictions"), _TEST)),
    Guided("food", food, (_TEST, ("Write a meal down", "writing.feed"))),
    Guided("change", change, (("Plan a water change", "workings.choose"),)),
    Guided("settle", settle, (_TEST,)),
    Guided("cooling", cooling, (_WARMTH,)),
    Guided("breathing", breathing, (_TEST, ("Oxygen of a day", "ahead.oxygen"))),
    Guided("shuffled", shuffled, (_TEST,)),
    Guided("detective", case, (("Something odd", "writing.odd"),)),
    Guided("fair", fair, (("Write a note", "writing.look"),)),
    Guided("year", year, (("Watts of the equipment", "tank.equipment"),)),
)


def guided(key: str) -> Guided | None:
    """The lesson with this key, or None."""
    return next((each for each in GUIDED if each.key == key), None)
