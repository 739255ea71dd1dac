"""A number of animals that is most likely a slip is asked about once more, on every way in.

The tank has 78 × 34 × 36 cm of water with 5 cm of sand, whose grains take 60 %, and 2.5 L of
stones: 78 × 34 × (36 − 0.6 × 5) / 1000 − 2.5 = 85.0 L. Asked about is more than 10 for each liter
(livestock.toml, count.many-per-liter; own choice): 851, not 850.
"""

import pytest

from app.services.livestock import animals
from tests.page_checker import CheckedClient
from tests.record import MONDAY, Record
from tests.web.filling import form_on, opened, save
from tests.web.visits import words_of

WAYS = (
    ("/tank/1/animals", {"name": "ember tetra"}),
    ("/tank/1/animals/1/arrive", {"source": "Mill Street"}),
    ("/tank/1/animals-entry", {"group": "1", "what": "arrived"}),
)


def living(record: Record) -> int:
    with record.database.reading() as session:
        return sum(group.count for group in animals.groups(session, 1, now=MONDAY))


@pytest.mark.parametrize(("url", "typed"), WAYS)
def test_very_many_are_asked_about_and_nothing_typed_is_lost(
    adult: CheckedClient, record: Record, url: str, typed: dict[str, str]
) -> None:
    before = living(record)
    assert "many" not in opened(adult, url)
    asked = save(adult, url, **typed, count="5000")
    assert asked.status_code == 422
    assert "5,000 in 85 L: is that the number?" in words_of(asked.text)
    form = form_on(asked.text)
    assert typed.items() <= form.items()
    assert form["count"] == "5000"
    assert living(record) == before

    assert adult.post(url, data=form | {"many": "y"}).status_code == 303
    assert living(record) == before + 5000


@pytest.mark.parametrize(("count", "status"), [("850", 303), ("851", 422)])
def test_ten_for_each_liter_are_taken(adult: CheckedClient, count: str, status: int) -> None:
    assert save(adult, "/tank/1/animals/1/arrive", count=count).status_code == status


def test_many_births_are_no_slip(adult: CheckedClient) -> None:
    typed = {"group": "1", "what": "born", "count": "900"}
    assert save(adult, "/tank/1/animals-entry", **typed).status_code == 303


def test_gallons_stand_in_the_question_where_the_house_counts_in_them(
    adult: CheckedClient,
) -> None:
    """85.0 L are 85.0 / 3.785411784 = 22.5 US gal."""
    save(adult, "/settings", volume="gal")
    asked = save(adult, "/tank/1/animals/1/arrive", count="5000")
    assert "5,000 in 22.5 US gal: is that the number?" in words_of(asked.text)
