"""Three pupils read one tube: 10, 20 and 20. The middle counts, the range shows, nothing is mean.

The steps of the card beside 10 and 20 are 5 and 40, so that the water holds 5 to 40.
"""

import pytest

from app.domain.kit import KitFacts
from app.domain.quantities import Quantity
from app.services import kits
from app.services.school import tiles
from app.services.sites import FIRST
from tests.page_checker import CheckedClient
from tests.web.stories.browsing import Page
from tests.web.stories.conftest import Place

SAID = "20 mg/L (as nitrate), 3 readers saw 10 to 20, could be 5 to 40"


@pytest.fixture
def card(place: Place) -> dict[str, str]:
    """The class reads nitrate from a card; Moss joined Otter and Finch."""
    facts = KitFacts(
        quantity=Quantity.NITRATE, name="Nitrate card", unit="mg/L", basis="as nitrate",
        steps=(0, 5, 10, 20, 40, 80),
    )  # fmt: skip
    with place.record.database.writing() as session:
        kits.add_kit(session, FIRST, facts)
        tiles.add_helper(session, "Moss")
        return {tile.name: str(tile.author_id) for tile in tiles.hands(session)}


def read_by_three(place: Place, device: CheckedClient, page: str, by: dict[str, str]) -> Page:
    """Finch sees 10, Moss and Otter see 20."""
    found = place.open(device, page).press("One more reader of Nitrate", nitrate="10")
    found = found.press("One more reader of Nitrate", nitrate_by=by["Finch"])
    return found.press(
        "Save",
        nitrate_2="20",
        nitrate_2_by=by["Moss"],
        nitrate_3="20",
        nitrate_3_by=by["Otter"],
        hands=str(place.record.otter),
    )


@pytest.mark.parametrize("page", ["test", "test-session"])
def test_the_middle_and_the_range_stand_on_every_page(
    place: Place, card: dict[str, str], page: str
) -> None:
    saved = read_by_three(place, place.class_device(), page, card)
    assert f"Saved. Water test · Nitrate {SAID} · Otter" in saved.words

    adult = place.adult()
    today = place.open(adult).words
    assert "the card said 20 mg/L (10 to 20, 3 readers), as nitrate" in today
    assert SAID in place.open(adult, "story?kind=water").words
    chart = place.open(adult, "charts/nitrate").words
    assert "20 5 to 40 3 readers saw 10 to 20" in chart
    for words in (saved.words, today, chart):
        assert "16.7" not in words


def test_the_entry_names_who_saw_what(place: Place, card: dict[str, str]) -> None:
    adult = place.adult()
    entry = read_by_three(place, adult, "test", card).follow("Entry")
    assert "Finch 10, Moss 20 and Otter 20 mg/L as nitrate" in entry.words


@pytest.mark.usefixtures("card")
def test_the_why_card_rests_on_what_all_three_saw(place: Place) -> None:
    adult = place.adult()
    found = place.open(adult, "test").press("One more reader of Nitrate", nitrate="40")
    found.press("Save", nitrate_2="80")
    why = place.open(adult, "to-do").words
    assert "Nitrate is 80 mg/L (as nitrate), 2 readers saw 40 to 80, could be 20 or more." in why
