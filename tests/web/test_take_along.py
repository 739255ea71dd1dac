"""Taking the data along: what each role is offered, and what comes down."""

import csv
import io
import zipfile
from datetime import timedelta

import pytest
from flask import Flask

from app.clock import FixedClock
from app.domain.drafts import NewTest
from app.domain.people import Role
from app.domain.quantities import Quantity
from app.services.exchange import outgoing
from tests.page_checker import CheckedClient
from tests.record import Record, reading
from tests.services.exchange.full import packed
from tests.web.roles import client_of, invited
from tests.web.visits import csrf_of, words_of

PAGE = "/tank/1/take-along"


@pytest.fixture(autouse=True)
def measured(record: Record) -> None:
    for days in (200, 40, 0):
        at = record.now - timedelta(days=min(days, 190))
        record.write(NewTest(note="Otter"), reading(Quantity.PH, 7.0), at=at)


def press(client: CheckedClient, address: str, page: str = PAGE) -> bytes:
    answer = client.post(address, data={"csrf_token": csrf_of(client, page)})
    assert answer.status_code == 200
    assert answer.headers["Content-Disposition"].startswith("attachment")
    assert int(answer.headers["Content-Length"]) == len(answer.data)
    return bytes(answer.data)


def test_the_page_tells_how_whole_the_last_months_are(adult: CheckedClient) -> None:
    shown = words_of(adult.get(PAGE).text)
    assert "41 days, 2 readings on 2 days" in shown
    assert words_of(adult.get(f"{PAGE}?first=&last=").text).count("3 readings on 3 days") == 1
    assert "Nothing was measured in these days." in words_of(adult.get(f"{PAGE}?quantity=kh").text)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("first=soon&last=", "Write the day as year-month-day"),
        ("first=2027-02-08&last=2027-02-01", "The last day comes before the first."),
    ],
)
def test_days_that_cannot_be_are_told_beside_the_field(
    adult: CheckedClient, asked: str, said: str
) -> None:
    answer = adult.get(f"{PAGE}?{asked}")
    assert answer.status_code == 422
    assert said in words_of(answer.text)
    assert 'value="soon"' in answer.text or "2027-02-01" in answer.text


def test_the_chosen_measurements_come_down_as_a_file(adult: CheckedClient) -> None:
    def rows(asked: str = "") -> list[dict[str, str]]:
        text = adult.get(f"/tank/1/measurements.csv{asked}").data.decode("utf-8-sig")
        return list(csv.DictReader(io.StringIO(text)))

    assert len(rows()) == 3
    assert [row["time"][:10] for row in rows("?first=2027-02-01&quantity=ph")] == ["2027-02-08"]
    assert rows("?quantity=kh") == []
    assert adult.get("/tank/1/measurements.csv?first=soon").status_code == 404
    assert b"what was measured" in adult.get("/codebook.csv").data
    assert b"ph,2026" in adult.get("/tank/1/health-note.csv").data


def test_a_keeper_takes_a_tank_along(adult: CheckedClient, record: Record) -> None:
    assert press(adult, f"{PAGE}/package") == packed(record.database, 1)
    made = zipfile.ZipFile(io.BytesIO(press(adult, f"{PAGE}/archive")))
    assert "index.html" in made.namelist()


def test_a_keeper_of_all_tanks_takes_the_whole_record_along(
    adult: CheckedClient, record: Record
) -> None:
    whole = "/take-along"
    assert press(adult, f"{whole}/package", whole) == packed(record.database)
    assert (
        "data-package.zip"
        in zipfile.ZipFile(io.BytesIO(press(adult, f"{whole}/archive", whole))).namelist()
    )
    assert b"month,quantity" in adult.get(f"{whole}/open-data.csv").data


@pytest.mark.sqlite_only("a backup is a file")
def test_a_keeper_of_all_tanks_makes_a_backup(adult: CheckedClient) -> None:
    backup = press(adult, "/take-along/backup", "/take-along")
    assert backup.startswith(b"SQLite format 3\0")


def test_who_has_one_tank_takes_no_other_along(
    app: Flask, record: Record, clock: FixedClock
) -> None:
    keeper = invited(Role.KEEPER, app, record, clock, name="One tank", tanks=[1])
    assert "Make a backup" not in keeper.get("/take-along").text
    refused = keeper.post("/take-along/backup", data={"csrf_token": csrf_of(keeper, "/me")})
    assert refused.status_code == 403


def test_a_technician_takes_measurements_and_no_more(
    app: Flask, record: Record, clock: FixedClock
) -> None:
    technician = client_of(Role.TECHNICIAN, app, record, clock)
    page = technician.get(PAGE)
    assert "Take these measurements" in words_of(page.text)
    assert "Make the package" not in words_of(page.text)
    assert technician.get("/take-along").status_code == 403


def test_a_second_press_while_the_first_is_made_is_told_to_wait(
    adult: CheckedClient, record: Record, app: Flask
) -> None:
    token = csrf_of(adult, PAGE)
    folder, person_id = app.extensions["sillpond"].settings.data_folder, record.adult.person_id
    answers = []

    def press_again(_target: object) -> None:
        answers.append(adult.post(f"{PAGE}/package", data={"csrf_token": token}))

    outgoing.made(record.database, folder, person_id, press_again).close()
    (answer,) = answers
    assert answer.status_code == 409
    assert "Another file is being made for you." in words_of(answer.text)
