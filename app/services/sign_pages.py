"""What the page of a sign says beside its rule: what it may be, first looks, first actions."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from app.domain.records import Sign

NOW: Final = "Get a grown-up now."
VET_TODAY: Final = "A grown-up asks a vet or aquatic health expert today."
VET_HOURS: Final = "No better in two hours? A grown-up asks a vet."
VET_DAYS: Final = "Longer than two days? A grown-up asks a vet."
NOBODY: Final = "No vet is needed for this. Tell a grown-up."
TODAY: Final = "Tell a grown-up today."

_TESTS: Final = "Test ammonia, nitrite and pH."
_AIR: Final = "Give more air."
_NO_FOOD: Final = "No food today."
_CHANGE: Final = "Change a quarter. New water is treated and just as warm."


@dataclass(frozen=True, slots=True)
class SignPage:
    """Short sentences, for pupils too: reading grade 6 or below, 12 words at most."""

    may_be: tuple[str, ...]
    looks: tuple[str, ...]
    first: tuple[str, ...]
    fetch: str


SIGN_PAGES: Final[Mapping[Sign, SignPage]] = {
    Sign.GASPING: SignPage(
        ("Too little air in the water.", "Waste or chlorine that hurts the gills."),
        ("All of them, or one fish?", "Does the filter run?", "Was water changed today?"),
        (_AIR, _NO_FOOD, _CHANGE),
        VET_HOURS,
    ),
    Sign.LYING: SignPage(
        ("New water too cold, too warm, or not treated.", "A sick fish."),
        ("Was water changed today?", "How warm is it?", "Was conditioner in the new water?"),
        (_AIR, "Dim the light.", "Not treated? A grown-up adds conditioner for the whole tank."),
        VET_HOURS,
    ),
    Sign.WHITE_SPOTS: SignPage(
        ("A parasite that spreads fast.", "Small white grains on skin and fins."),
        ("When did the last new fish come?", "Do they rub?", "How warm is it?"),
        (_AIR, "Keep this net out of other tanks.", "Siphon the bottom each day."),
        VET_TODAY,
    ),
    Sign.TUFTS: SignPage(
        ("Germs on a wound.", "Poor water."),
        (_TESTS, "Is it bullied?"),
        ("Keep hands out, or wear gloves.", "A bullied fish is kept apart."),
        VET_TODAY,
    ),
    Sign.SWOLLEN: SignPage(
        ("A sick fish. Only a vet can tell.", "A fish full of eggs."),
        (_TESTS, "Do the scales stand out?"),
        ("Keep hands out, or wear gloves.", _NO_FOOD),
        VET_TODAY,
    ),
    Sign.THIN: SignPage(
        ("It gets no food.", "A sick fish. Only a vet can tell."),
        ("Watch one meal: who eats?", _TESTS),
        ("Keep hands out, or wear gloves.", "Feed at two places."),
        VET_TODAY,
    ),
    Sign.WOUNDS: SignPage(
        ("A bite or a sharp stone.", "A sick fish. Only a vet can tell."),
        ("Is it bullied?", _TESTS),
        ("Keep hands out, or wear gloves.", "A bullied fish is kept apart."),
        VET_TODAY,
    ),
    Sign.DEAD_FISH: SignPage(
        ("Old age, bad luck, or the water.",),
        ("Count the others.", "Do they breathe calmly?", _TESTS),
        ("A grown-up takes it out with net and gloves.", "Nobody did wrong."),
        "Two in a week, or no known cause? A grown-up asks a vet.",
    ),
    Sign.CLAMPED_FINS: SignPage(
        ("Too cold, poor water, or fear.",),
        ("How warm is it?", _TESTS, "Is there a bully or a new fish?"),
        ("Change a fifth of the water.", "Dim the light a little."),
        VET_DAYS,
    ),
    Sign.HIDING: SignPage(
        ("Fear, a bully, or poor water.", "Small fish hide. That alone means little."),
        ("Is there a bully or a new fish?", "How warm is it?", _TESTS),
        ("Give shade and plants.", "Look again the next day."),
        VET_DAYS,
    ),
    Sign.RUBBING: SignPage(
        ("The water may make them itch.", "A parasite, or fear."),
        (_TESTS, "Was water changed today?", "Are there white spots?"),
        ("Close the lid.", _CHANGE),
        VET_DAYS,
    ),
    Sign.FRY: SignPage(
        ("Eggs have hatched. Well seen!",),
        ("How many can you count?",),
        ("Leave the plants dense.", "A grown-up covers the filter inlet."),
        "Plan new homes before there are many.",
    ),
    Sign.SNAILS: SignPage(
        ("There is food that is left.",),
        ("Is food on the bottom?",),
        ("Feed a little less.", "Lift them out with a lettuce leaf left overnight."),
        NOBODY,
    ),
    Sign.TINGLE: SignPage(
        ("Power leaks into the water.",),
        ("Do not touch. Nothing else to look at.",),
        ("Hands off!", "A grown-up turns the power off at the breaker."),
        "Get a grown-up now. Then no hands in until it is fixed.",
    ),
    Sign.LEAK: SignPage(
        ("A seam, a hose or a splash.",),
        ("Where is it wet?", "Is a plug wet?"),
        ("Stay away from wet plugs.", "A grown-up turns the power off."),
        NOW,
    ),
    Sign.POWER_CUT: SignPage(
        ("The house has no power.", "A plug or a switch is off."),
        ("Does the room light work?", "When did it stop?"),
        ("Run a battery air pump.", _NO_FOOD, "Lid on. Wrap the tank in a blanket."),
        NOW,
    ),
    Sign.FILTER_OFF: SignPage(
        ("A plug is out, or the pump is stuck.",),
        ("Is the plug in?", "When did it stop?"),
        (_AIR, _NO_FOOD, "Off for six hours? Rinse the sponge in tank water first."),
        NOW,
    ),
    Sign.HEATER_OFF: SignPage(
        ("A plug is out, or the heater broke.",),
        ("How warm is it?", "Is the plug in?", "Is the glass cracked?"),
        ("Keep hands out of the water.", "Warm the tank slowly. Lid on."),
        NOW,
    ),
    Sign.FILTER_SLOW: SignPage(
        ("The sponge is full.",),
        ("How strong is the flow?", "Is the inlet blocked?"),
        ("A grown-up rinses the sponge in tank water.", "Never use the tap for it."),
        TODAY,
    ),
    Sign.CLOUDY: SignPage(
        ("A young tank.", "Too much food, or something dead."),
        ("Is food on the bottom?", "Count the fish.", _TESTS),
        ("Feed half.", "Take out what rots.", "Test each day. No clearing drops."),
        NOBODY,
    ),
    Sign.SMELL: SignPage(
        ("Food, a leaf or an animal rots.",),
        ("Count the fish.", "Is food on the bottom?", _TESTS),
        ("Take out what rots.", _NO_FOOD),
        TODAY,
    ),
    Sign.FILM: SignPage(
        ("Little flow, oily hands, or oily food.",),
        ("Does the surface move?",),
        ("A grown-up lifts it off with a paper towel.", "Raise the outlet."),
        NOBODY,
    ),
    Sign.GREEN_WATER: SignPage(
        ("Tiny plants that like light and waste.",),
        ("Does sun reach the glass?", "How long is the light on?", "Test nitrate."),
        ("Shade the glass.", "Light for six hours.", "Keep to the water changes."),
        NOBODY,
    ),
    Sign.BROWN_DUST: SignPage(
        ("Tiny brown plants. A young tank has them.",),
        ("How old is the tank?",),
        ("Wipe the glass with a grown-up.", "It goes away in some weeks."),
        NOBODY,
    ),
    Sign.HAIR_ALGAE: SignPage(
        ("Much light, much food, or little flow.",),
        ("How long is the light on?", "Is food left after a meal?"),
        ("Pull the threads out by hand.", "Two hours less light.", "Put in more plants."),
        NOBODY,
    ),
    Sign.OTHER: SignPage(
        ("We do not know yet.",),
        ("Look once more.", "Count the fish.", _TESTS),
        ("Write what you saw, in your words.",),
        TODAY,
    ),
}
