"""More tanks and a longer record cost no more statements."""

from datetime import timedelta

from app.domain.drafts import NewTest
from app.domain.quantities import Quantity
from app.domain.tank import TankFacts, TankShape
from app.services import tanks
from app.services.livestock import animals
from tests.record import ALL_FINE, ONE_SCOOP, reading
from tests.statements import asked_of
from tests.web.stories.conftest import Place

MOST_ON_TODAY = 20


def more_tanks(place: Place, first: int, last: int) -> None:
    """Tanks called Pool with a number, each with a group of animals."""
    shape = TankShape(length_cm=40, width_cm=25, water_depth_cm=25)
    with place.record.database.writing() as session:
        for each in range(first, last + 1):
            name = f"Pool {each}"
            tank_id = tanks.add_tank(session, TankFacts(name=name, shape=shape))
            animals.add_group(session, tank_id, "harlequin rasbora", "middle", 4.5)


def test_today_asks_at_most_twenty_times(place: Place) -> None:
    adult = place.adult()
    with asked_of(place.record.database) as asked:
        place.open(adult)
    assert 0 < len(asked) <= MOST_ON_TODAY


def test_today_asks_as_often_with_a_long_record(place: Place) -> None:
    adult = place.adult()
    with asked_of(place.record.database) as before:
        place.open(adult)
    for day in range(60):
        at = place.record.now - timedelta(days=day + 3)
        place.record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 24.6), at=at)
        place.record.write(NewTest(), reading(Quantity.NITRATE, 12.0), at=at)
        place.record.write(ALL_FINE, at=at)
    with asked_of(place.record.database) as after:
        place.open(adult)
    assert len(after) == len(before)


def test_all_tanks_asks_as_often_for_thirty_as_for_two(place: Place) -> None:
    adult = place.adult()
    more_tanks(place, 1, 1)
    with asked_of(place.record.database) as few:
        assert adult.get("/tanks?show=all").status_code == 200
    more_tanks(place, 2, 29)
    with asked_of(place.record.database) as many:
        page = adult.get("/tanks?show=all")
    assert "Pool 29" in page.text
    assert len(many) == len(few)


def test_an_unchanged_chart_is_answered_with_304_and_few_statements(place: Place) -> None:
    adult = place.adult()
    url = place.url("charts/temperature?days=30")
    first = adult.get(url)
    tag = first.headers["ETag"]
    assert first.status_code == 200
    with asked_of(place.record.database) as asked:
        again = adult.get(url, headers={"If-None-Match": tag})
    assert again.status_code == 304
    assert not again.data
    assert len(asked) <= MOST_ON_TODAY
    place.open(adult, "test").press("Save", temperature="24.4")
    changed = adult.get(url, headers={"If-None-Match": tag})
    assert changed.status_code == 200
    assert "24.4" in changed.text
