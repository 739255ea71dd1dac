"""Is nitrate rising? A color card knows steps only, and the chart says no more than the card knows.

Worked by hand on a card of 0, 5, 10, 20, 40, 80: a color stands for all between its neighbors.
10 is 5 to 20 and 20 is 10 to 40, so that 10, 10, 20, 10, 20 fit one value between 10 and 20.
5 is at most 10 and 40 at least 20, so that no one value fits 5, 10, 20, 40.
"""

import pytest

from app.domain.kit import KitFacts
from app.domain.quantities import Quantity
from app.services import kits
from app.services.sites import FIRST
from tests.web.stories.conftest import Place

WEEKS = ("2027-02-15", "2027-02-22", "2027-03-01", "2027-03-08", "2027-03-15")


def chart_of(place: Place, *colors: str) -> tuple[str, str]:
    """The chart page after one color a week was written down: its words and its picture."""
    facts = KitFacts(
        quantity=Quantity.NITRATE, name="Nitrate card", unit="mg/L", basis="as nitrate",
        steps=(0, 5, 10, 20, 40, 80),
    )  # fmt: skip
    with place.record.database.writing() as session:
        kits.add_kit(session, FIRST, facts)
    for day, color in zip(WEEKS, colors, strict=False):
        place.at(f"{day} 8:41")
        saved = place.open(place.adult(), "test").press("Save", nitrate=color)
        assert saved.status == 200
    page = place.open(place.adult(), "charts/nitrate?days=30")
    return page.words, page.answer.text


def test_one_value_fits_all_so_nobody_can_tell_yet(place: Place) -> None:
    words, picture = chart_of(place, "10", "10", "20", "10", "20")
    assert "Can’t tell yet whether it rises." in words
    assert "One unchanged value, anywhere from 10 to 20 mg/L, would fit all 5." in words
    assert "going up" not in words
    # bars of possible values, and no line through them
    assert 'class="bars"' in picture
    assert "series-1" not in picture


def test_no_value_fits_so_it_is_going_up(place: Place) -> None:
    words, _ = chart_of(place, "5", "10", "20", "40")
    assert "It is going up: no single value fits all 4 card readings." in words
    assert "Can’t tell" not in words


@pytest.mark.parametrize(
    ("colors", "said"),
    [
        (("40", "20", "10", "5"), "It is going down"),
        # one color up is within the step: 20 is at least 10, and 10 at most 20
        (("10", "20"), "Can’t tell yet"),
    ],
)
def test_the_other_way_and_one_step(place: Place, colors: tuple[str, ...], said: str) -> None:
    assert said in chart_of(place, *colors)[0]
