"""The equipment register through its pages."""

from datetime import date

from app.domain.kit import Equipment
from app.services import equipment
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.filling import form_on, opened
from tests.web.visits import csrf_of, seen, words_of

HEATER = {
    "kind": "heater", "name": "Heater, left corner", "watts": "100", "lot": "H-17",
    "since": "2026-02-08", "next_check_on": "2027-02-01",
}  # fmt: skip
LIST = "/tank/1/equipment"


def add(client: CheckedClient, **changed: str) -> None:
    form = form_on(client.get(LIST).text, at=0) | HEATER | changed
    assert client.post(LIST, data=form).status_code == 303


def known(record: Record) -> tuple[Equipment, ...]:
    with record.database.reading() as session:
        return equipment.equipment(session, record.tank_id)


def test_a_heater_stands_in_the_list_with_its_age(adult: CheckedClient, record: Record) -> None:
    assert "Nothing is written yet" in seen(adult, LIST)
    add(adult)
    page = seen(adult, LIST)
    assert "Heater, left corner Heater, lot H-17" in page
    assert "100 W" in page
    assert "11 months" in page  # 365 days, on 8 February 2027
    assert "its day has come" in page
    assert "Each cord hangs in a drip loop." in page


def test_the_same_form_twice_is_one_heater(adult: CheckedClient, record: Record) -> None:
    form = form_on(adult.get(LIST).text, at=0) | HEATER
    assert adult.post(LIST, data=form).status_code == 303
    again = adult.post(LIST, data=form)
    assert again.status_code == 422
    assert "stands in the list already" in words_of(again.text)
    assert len(known(record)) == 1


def test_what_cannot_be_is_said_beside_the_field(adult: CheckedClient, record: Record) -> None:
    for changed, sentence in (
        ({"name": " "}, "Enter a name for it."),
        ({"watts": "0"}, "Enter the watts from 0.1 to 5000."),
        ({"watts": "many"}, "Write the watts with digits only."),
        ({"since": "yesterday"}, "Write the day as year-month-day"),
        ({"since": "2027-02-09"}, "That day has not come yet."),
    ):
        form = form_on(adult.get(LIST).text, at=0) | HEATER | changed
        answer = adult.post(LIST, data=form)
        assert answer.status_code == 422
        assert sentence in words_of(answer.text)
        assert form_on(answer.text, at=0)["lot"] == "H-17"
    assert known(record) == ()


def test_a_check_sets_the_next_day(adult: CheckedClient, record: Record) -> None:
    add(adult)
    (heater,) = known(record)
    url = f"{LIST}/{heater.id}"
    assert opened(adult, url, at=0)["watts"] == "100"
    form = opened(adult, url, at=0) | {"next_check_on": "2027-08-01"}
    assert adult.post(url, data=form).status_code == 303
    assert known(record)[0].next_check_on == date(2027, 8, 1)
    assert "its day has come" not in seen(adult, LIST)


def test_what_is_put_away_stays_for_a_recall(adult: CheckedClient, record: Record) -> None:
    add(adult)
    (heater,) = known(record)
    token = {"csrf_token": csrf_of(adult, LIST)}
    adult.post(f"{LIST}/{heater.id}/put-away", data=token)
    assert "Put away: 1" in seen(adult, LIST)
    assert "Brook : Heater, left corner, put away" in seen(adult, LIST + "?lot=h-17")
    assert "No tank has a piece of lot H-18" in seen(adult, LIST + "?lot=H-18")
    adult.post(f"{LIST}/{heater.id}/use-again", data=token)
    assert known(record)[0].retired_on is None


def test_another_tanks_piece_is_not_reached(adult: CheckedClient, helper: CheckedClient) -> None:
    assert adult.get(f"{LIST}/99").status_code == 404
    assert helper.get(LIST).status_code == 403
