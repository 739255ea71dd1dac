"""Inputs of an estimate in words: a difference of temperatures has no 32 in it."""

from dataclasses import replace

import pytest

from app.estimates.model import Input, Origin, exact
from app.web.ahead.shown import input_shown
from tests.situations import HOME, at

NOW = at("2027-02-12 18:00")
EXACT = exact("off", "How far it was off before", 0.3, "K", origin=Origin.MEASURED)
WIDE = Input(name="off", title="Off", low=0.2, best=0.3, high=1.0, unit="K", origin=Origin.ASSUMED)


@pytest.mark.parametrize(
    ("given", "celsius", "fahrenheit"),
    [(EXACT, "0.3 °C", "0.5 °F"), (WIDE, "0.3 °C (0.2 to 1.0 °C)", "0.5 °F (0.4 to 1.8 °F)")],
)
def test_a_difference_is_told_in_the_degrees_of_the_household(
    given: Input, celsius: str, fahrenheit: str
) -> None:
    for is_fahrenheit, words in ((False, celsius), (True, fahrenheit)):
        site = replace(HOME, fahrenheit=is_fahrenheit)
        assert input_shown(given, site, NOW).value.replace("\u00a0", " ") == words
