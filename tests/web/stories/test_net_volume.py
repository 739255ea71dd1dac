"""A tank is set up by its measures: how much water, with the working, and what changed it."""

import pytest

from tests.page_checker import CheckedClient
from tests.web.stories.browsing import Page, visit

BROOK = {
    "name": "Brook",
    "length_cm": "78",
    "width_cm": "34",
    "water_depth_cm": "36",
    "rim_cm": "42",
    "sand_front_cm": "5",
    "sand_back_cm": "5",
    "displacement_l": "2.5",
}
WINDOW = {
    "name": "Window",
    "length_cm": "58",
    "width_cm": "28",
    "water_depth_cm": "30",
    "sand_front_cm": "4",
    "sand_back_cm": "4",
    "displacement_l": "1.5",
}
# liters by hand, with 231 cubic inches to the US gallon (NIST Handbook 44, appendix C):
# 78 × 34 × 36 cm, sand 5 cm of which 60 % is grain, 2.5 L of stones
BROOK_WORKING = ("95.5 L", "8.0 L", "2.5", "85.0 L", "22.5 US gal")
WINDOW_WORKING = ("48.7 L", "3.9 L", "1.5", "43.3 L", "11.4 US gal")


@pytest.mark.parametrize(
    ("measures", "working"), [(BROOK, BROOK_WORKING), (WINDOW, WINDOW_WORKING)]
)
def test_the_working_stands_there_before_anything_is_saved(
    fresh: CheckedClient, measures: dict[str, str], working: tuple[str, ...]
) -> None:
    page = visit(fresh, "/tank/new").press("Work it out, save nothing yet", **measures)
    for part in working:
        assert part in page.words
    assert visit(fresh, "/tank/1/").status == 404


def test_a_comma_is_as_good_as_a_point(fresh: CheckedClient) -> None:
    typed = BROOK | {"displacement_l": "2,5"}
    assert "85.0 L" in visit(fresh, "/tank/new").press("Save", **typed).words


def test_after_saving_water_and_kit_shows_the_same_liters(fresh: CheckedClient) -> None:
    page = visit(fresh, "/tank/new").press("Save", **BROOK)
    assert page.path == "/tank/1/set-up"
    for part in BROOK_WORKING:
        assert part in page.words


def test_other_sand_gives_other_liters_and_the_page_says_which_number_changed(
    fresh: CheckedClient,
) -> None:
    visit(fresh, "/tank/new").press("Save", **BROOK)
    page = visit(fresh, "/tank/1/measures").press("Save", pores="0")
    assert page.path == "/tank/1/set-up"
    assert "Water between the grains: 40 → 0" in page.words
    assert "85.0 L → 79.7 L" in page.words


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"length_cm": ""}, "Enter the length in cm."),
        ({"length_cm": "0"}, "Enter more than 0."),
        ({"width_cm": "wide"}, "Write the width in cm with digits only."),
        ({"water_depth_cm": "43"}, "The water cannot stand higher than the rim."),
        ({"sand_back_cm": "37"}, "The sand cannot stand higher than the water."),
        ({"displacement_l": "95"}, "These measures leave no water in the tank."),
    ],
)
def test_measures_that_cannot_be_come_back_with_a_sentence_and_what_was_typed(
    fresh: CheckedClient, wrong: dict[str, str], sentence: str
) -> None:
    page = visit(fresh, "/tank/new").press("Save", **(BROOK | wrong))
    assert page.status == 422
    assert sentence in page.words
    assert _typed(page) == BROOK | wrong


def _typed(page: Page) -> dict[str, str]:
    return {name: page.form().value(name) for name in BROOK}
