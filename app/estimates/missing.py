"""What an estimate may lack, in the words in which pages name it after “nobody wrote”."""

from typing import Final

MEASURES: Final = "the tank’s measures"
ANIMALS: Final = "how long the animals are"
GRAMS_A_DAY: Final = "the grams fed on each day"
GRAMS_OF_A_MEAL: Final = "the grams of a meal"
GRAMS_OF_A_SCOOP: Final = "the grams of a scoop"
PROTEIN: Final = "the protein of the food"
VOLUME: Final = "the water volume"
PLAN: Final = "the plan for water changes"
TAP_NITRATE: Final = "the tap water’s own nitrate"
TAP_KH: Final = "the tap water’s own KH"
A_NITRATE_TEST: Final = "a nitrate test of the last weeks"
A_KH_TEST: Final = "a KH test of the last weeks"
COLDEST: Final = "how cold the room gets"
