"""What a color on the ammonia card means at this pH and this warmth, from page to why-card.

Worked out with the equation of Emerson and others 1975 (J. Fish. Res. Board Can. 32, 2379):
pKa = 0.09018 + 2729.92 / (273.15 + t), share = 1 / (1 + 10^(pKa - pH)). The share 0.0502 at
pH 8.0 and 24 °C stands in the table of University of Florida, IFAS Extension, FA16.
"""

import re

import pytest

from app.domain.kit import KitFacts
from app.domain.quantities import Quantity
from app.services import kits
from app.services.sites import FIRST
from tests.web.stories.browsing import Page
from tests.web.stories.conftest import Place


def written(place: Place, **values: str) -> Page:
    """A test written down; its why-card, or To do where nothing came of it."""
    adult = place.adult()
    saved = place.open(adult, "test").press("Save", **values)
    if saved.status == 422:
        again = {f"{n}_again": v for n, v in values.items() if f"{n}_again" in saved.form().names}
        saved = saved.press("Save", **again)
    assert saved.status == 200, saved.words
    return place.open(adult, "to-do")


def state(place: Place) -> str:
    """The state word on the door view."""
    found = re.search(
        r"(Steady|Watch|Act now|Act|Don’t know)", place.open(place.adult(), "door").words
    )
    assert found is not None
    return found[1]


@pytest.mark.parametrize(
    ("ammonia", "ph", "temperature", "meaning"),
    [
        ("0.5", "7.4", "25.0", ("1.40", "0.007")),
        ("0.5", "8.2", "25.0", ("8.25", "0.041")),
        ("1", "8.2", "25.0", ("8.25", "0.082")),
        ("1", "8.0", "24.0", ("5.02", "0.050")),
    ],
)
def test_the_card_shows_the_share_and_the_harmful_part(
    place: Place, ammonia: str, ph: str, temperature: str, meaning: tuple[str, str]
) -> None:
    percent, harmful = meaning
    words = written(place, ammonia=ammonia, ph=ph, temperature=temperature).words
    shown = re.search(r"at pH .*? = ([\d.]+) % The harmful part .*? = ([\d.]+) mg/L", words)
    assert shown is not None, words
    # ± 1 in the last digit shown
    assert float(shown[1]) == pytest.approx(float(percent), abs=0.0101)
    assert float(shown[2]) == pytest.approx(float(harmful), abs=0.00101)


def test_more_harm_than_the_limit_is_act(place: Place) -> None:
    words = written(place, ammonia="1", ph="8.2", temperature="25.0").words
    assert "The harmful part of the ammonia is about 0.082 mg/L." in words
    assert state(place) == "Act"


def test_the_card_lists_all_three_readings(place: Place) -> None:
    words = written(place, ammonia="1", ph="8.2", temperature="25.0").words
    for row in ("Ammonia (total) 1.00 mg/L (as N)", "pH 8.2", "Temperature 25.0 °C"):
        assert row in words


def test_a_missing_ph_is_assumed_and_said_so(place: Place) -> None:
    place.pass_time(days=20)
    words = written(place, ammonia="1", temperature="25.0").words
    assert "pH 8.0 is assumed: nobody knows it." in words


def color_cards(place: Place) -> None:
    """Cards with the steps 0, 0.25, 0.5, 1, 2 mg/L as N, and pH by 0.2."""
    with place.record.database.writing() as session:
        kits.add_kit(
            session, FIRST,
            KitFacts(
                quantity=Quantity.AMMONIA, name="Ammonia card", unit="mg/L", basis="as N",
                steps=(0, 0.25, 0.5, 1, 2),
            ),
        )  # fmt: skip
        kits.add_kit(
            session, FIRST,
            KitFacts(
                quantity=Quantity.PH, name="pH card", unit="",
                steps=(6.6, 6.8, 7.0, 7.2, 7.4, 7.6, 7.8, 8.0),
            ),
        )  # fmt: skip


def test_colors_give_a_range_with_a_best_guess(place: Place) -> None:
    color_cards(place)
    words = written(place, ammonia="0.5", ph="7.4", temperature="25.0").words
    assert "between 0.002 and 0.022 mg/L, best guess 0.007" in words
    assert state(place) not in {"Act", "Act now"}
    for row in (
        "Ammonia (total) 0.5 mg/L (as N), could be 0.25 to 1",
        "pH 7.4, could be 7.2 to 7.6",
        "Temperature 25.0 °C",
    ):
        assert row in words


def test_the_color_that_was_not_tested_is_offered_as_such(place: Place) -> None:
    color_cards(place)
    form = place.open(place.adult(), "test").form()
    assert form.offered("ammonia") == ["", "0", "0.25", "0.5", "1", "2", "darker"]
    assert form.value("ammonia") == ""
    assert form.offered("ph")[:2] == ["", "lighter"]


def test_darker_than_the_card_has_no_upper_end(place: Place) -> None:
    color_cards(place)
    words = written(place, ammonia="darker", ph="7.4", temperature="25.0").words
    assert "more than 2.00 mg/L (as N)" in words
    assert "or more" in words
