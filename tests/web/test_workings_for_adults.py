"""The page that works out ammonia for an empty tank: grown-ups only, and never with animals."""

import pytest

from app.domain.drafts import NewStockEvent
from app.domain.records import StockEventKind
from app.services.livestock import animals
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.visits import seen, words_of
from tests.web.working_examples_two import EMPTY_TANK

LIST = "/tank/1/work-out"
PAGE = f"{LIST}/grown-ups/maturing"


@pytest.fixture
def empty_tank(record: Record) -> None:
    """All animals found a new home."""
    with record.database.reading() as session:
        groups = animals.groups(session, record.tank_id, now=record.now)
    for group in groups:
        record.write(NewStockEvent(what=StockEventKind.LEFT, group_id=group.id, count=group.count))


def _answer(adult: CheckedClient, **more: str) -> tuple[int, str]:
    answer = adult.get(PAGE, query_string=EMPTY_TANK | {"nitrite": ""} | more)
    return answer.status_code, words_of(answer.text)


@pytest.mark.usefixtures("empty_tank")
def test_amounts_follow_the_label(adult: CheckedClient) -> None:
    # 2 x 85 x 1.216 / 95 mg/mL = 2.2 mL; 2 x 85 / 1000 x 3.819 = 0.65 g (arithmetic)
    status, page = _answer(adult)
    assert status == 200
    assert "2.2 mL raise 85 L by 2 mg/L as N." in page
    assert "0.8 °dKH" in page
    assert "Never near bleach" in page
    assert "Never with an animal in the tank" in page
    assert "Gloves and goggles, windows open" in page

    _, page = _answer(adult, source="powder", strength="100")
    assert "0.65 g raise 85 L by 2 mg/L as N." in page


@pytest.mark.usefixtures("empty_tank")
@pytest.mark.parametrize(("target", "status"), [("5", 200), ("5.1", 422)])
def test_never_above_five(adult: CheckedClient, target: str, status: int) -> None:
    found, page = _answer(adult, target=target)

    assert found == status
    assert ("Never above 5 mg/L" in page) is (status == 422)


@pytest.mark.usefixtures("empty_tank")
def test_it_waits_for_the_last_amount_and_halves_with_much_nitrite(adult: CheckedClient) -> None:
    assert "Wait until ammonia is below 0.5" in _answer(adult, now="0.5")[1]
    assert "Wait until" not in _answer(adult, now="0.4")[1]
    assert "2.2 mL" in _answer(adult, nitrite="5")[1]
    assert "1.1 mL raise 85 L by 1 mg/L" in _answer(adult, nitrite="5.1")[1]
    assert _answer(adult, now="2")[0] == 422
    assert _answer(adult, strength="36")[0] == 422
    assert _answer(adult, animals="some")[0] == 422


def test_with_animals_in_the_record_nothing_is_worked_out(adult: CheckedClient) -> None:
    status, page = _answer(adult)

    assert status == 422
    assert "16 animals live here" in page
    assert "The answer" not in page


@pytest.mark.usefixtures("empty_tank")
@pytest.mark.parametrize("name", ["strength", "now", "target", "net"])
def test_an_empty_or_senseless_field_is_named(adult: CheckedClient, name: str) -> None:
    assert _answer(adult, **{name: ""})[0] == 422
    assert _answer(adult, **{name: "abc"})[0] == 422


def test_pupils_neither_see_the_page_nor_open_it(
    adult: CheckedClient, helper: CheckedClient
) -> None:
    assert helper.get(PAGE).status_code == 403
    assert helper.get(f"{LIST}/maturing").status_code == 404
    assert "grown-ups/maturing" not in helper.get(LIST).text


def test_grown_ups_find_it_in_the_list(adult: CheckedClient) -> None:
    assert f'href="{PAGE}"' in adult.get(LIST).text
    assert "For grown-ups only." in seen(adult, PAGE)
    assert adult.get(f"{LIST}/grown-ups/ammonia").status_code == 404
