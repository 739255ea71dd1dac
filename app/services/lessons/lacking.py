"""What a record may lack for a lesson, and the page on which five minutes fill it."""

from typing import Final

from app.services.lessons.model import Lacking

VOLUME: Final = Lacking(
    "Nobody measured how high the water stands.", "Measure the tank", "tank.change"
)
SCOOP: Final = Lacking("No scoop was weighed yet.", "Keep the weight of a scoop", "tank.scoop")
NITRATE_TEST: Final = Lacking(
    "There is no nitrate test of the last weeks.", "Write a test down", "writing.test"
)
TAP: Final = Lacking(
    "Nobody tested the nitrate of the tap water.", "Write the tap water down", "settings.tap"
)
PLAN: Final = Lacking("No water change is planned.", "Plan the water change", "tank.plan")
NOTHING_ADDED: Final = Lacking(
    "By the tests nitrate does not rise here. Two more tests may show another pace.",
    "Write a test down",
    "writing.test",
)
TUBE: Final = Lacking(
    "No tube was read by enough pupils. Let three or more of them read the next one.",
    "Write a test down",
    "writing.test",
)
WARMTH: Final = Lacking(
    "No full week has enough temperatures yet. One a day is enough.",
    "Write down the temperature",
    "writing.test",
)
GUESSES: Final = Lacking(
    "No round of guesses was closed by a test yet, with enough guesses to show them.",
    "Open a round of guesses",
    "ahead.predictions",
)
PROTEIN: Final = Lacking(
    "Nobody wrote the protein of the food. It stands on its label.",
    "Write the protein down",
    "tank.place",
)
MEALS: Final = Lacking(
    "The grams of the last meals are not known. Weigh a scoop, then write each meal.",
    "Keep the weight of a scoop",
    "tank.scoop",
)
ROOM: Final = Lacking(
    "The room is as warm as the tank, or nobody wrote how cold it gets.",
    "Write the room down",
    "tank.place",
)
PH_PAIR: Final = Lacking(
    "There are no two pH tests of one day, morning and evening.",
    "Write a test down",
    "writing.test",
)
MORE_READINGS: Final = Lacking(
    "There are too few readings of one kind on different days.",
    "Write a test down",
    "writing.test",
)
NO_CASE: Final = Lacking(
    "The record holds no case that is old enough, with something that came before it. "
    "That is good news.",
    "Look what happened",
    "story.story",
)
YOUNG: Final = Lacking(
    "The record is too young to work out a year.", "Write something down", "writing.choose"
)
WATTS: Final = Lacking(
    "Nobody wrote the watts of lamp and filter. They stand on the labels.",
    "Write the watts down",
    "tank.equipment",
)
OXYGEN: Final = Lacking(
    "The oxygen of a day cannot be estimated yet.", "See what it lacks", "ahead.oxygen"
)
