"""A keeper's own table through its page: columns named, looked at, saved whole, taken back."""

import io
import re

import pytest
from sqlalchemy import func, select
from werkzeug.test import TestResponse

from app.storage.models.entry import Entry
from app.storage.models.livestock import Observation
from app.storage.models.maintenance import Job
from app.storage.models.water import Reading, WaterTest
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.filling import form_on, opened
from tests.web.visits import words_of

URL = "/tank/1/bring-in/table"
# a school's sheet: month first, °F, a gap, a count
GOOD = """Date,Time,Temp (°F),Nitrate ppm,Water change gal,Fed,Fish seen,Notes
1/4/2027,8:30,77.0,20,5,2,16,back after the break
1/13/2027,8:45,75.2,,,yes,,
"""


def hand_in(client: CheckedClient, text: str, **changed: str) -> TestResponse:
    form = opened(client, URL) | changed
    form["file"] = (io.BytesIO(text.encode()), "our tank.csv")
    return client.post(URL, data=form, content_type="multipart/form-data")


def save(client: CheckedClient, looked: TestResponse, **changed: str) -> TestResponse:
    return client.post(URL, data=form_on(looked.text) | {"save": "yes"} | changed)


def counted(record: Record, table: type = Entry) -> int:
    with record.database.reading() as session:
        return session.scalar(select(func.count()).select_from(table)) or 0


def standing(record: Record) -> int:
    with record.database.reading() as session:
        imported = Entry.token.startswith("sheet-"), Entry.status == "ok"
        return session.scalar(select(func.count()).where(*imported)) or 0


def test_a_table_is_looked_at_and_then_saved(adult: CheckedClient, record: Record) -> None:
    looked = hand_in(adult, GOOD)

    assert looked.status_code == 200
    shown = words_of(looked.text)
    assert "They bring 2 tests, 2 meals, 1 water change, 1 look" in shown
    # 77 °F are 25 °C and 5 US gallons 18.93 L (exact definitions)
    assert "Temperature 25.0 °C, Nitrate 20 mg/L" in shown
    assert standing(record) == 0

    answer = save(adult, looked)
    assert answer.status_code == 303
    assert "6 things saved." in words_of(adult.get(answer.location).text)
    with record.database.reading() as session:
        rows = session.scalars(select(Reading).order_by(Reading.id)).all()
        assert [(r.quantity, r.typed) for r in rows] == [
            ("temperature", "77.0"), ("nitrate", "20"), ("temperature", "75.2"),
        ]  # fmt: skip
        assert [r.value for r in rows] == pytest.approx([25.0, 20.0, 24.0])
        assert session.scalars(select(Job.liters_out)).one() == pytest.approx(18.927, abs=0.001)
        assert session.scalars(select(WaterTest.note)).first() == "back after the break"
        assert session.scalars(select(Observation.seen)).one() == 16


def test_the_same_form_and_the_same_file_again_bring_nothing(
    adult: CheckedClient, record: Record
) -> None:
    looked = hand_in(adult, GOOD)
    save(adult, looked)
    before = counted(record)

    save(adult, looked)
    again = hand_in(adult, GOOD)

    assert "Nothing in it is new." in words_of(again.text)
    assert "Save all of it" not in again.text
    assert counted(record) == before


def test_a_whole_import_is_taken_back_and_may_come_again(
    adult: CheckedClient, record: Record
) -> None:
    page = adult.get(save(adult, hand_in(adult, GOOD)).location).text
    where = re.search(r'action="([^"]+/take-back)"', page)
    assert where is not None

    answer = adult.post(where[1], data=form_on(page))

    assert "6 entries are taken back." in words_of(adult.get(answer.location).text)
    assert standing(record) == 0
    save(adult, hand_in(adult, GOOD))
    assert standing(record) == 6


def test_the_order_of_the_dates_is_asked(adult: CheckedClient, record: Record) -> None:
    asked = hand_in(adult, "Date,pH\n4/5/2026,7.2\n4/6/2026,7.3\n")

    assert asked.status_code == 422
    assert "Does 4/5/2026 begin with the month or the day?" in words_of(asked.text)

    looked = adult.post(URL, data=form_on(asked.text) | {"dates": "day"})
    assert "2026-05-04, 12:00 pm" in words_of(looked.text)


def test_an_unusual_value_wants_a_tick_and_a_bad_row_another(
    adult: CheckedClient, record: Record
) -> None:
    looked = hand_in(adult, "Date,Temp °C\n2027-01-04,35\n2027-01-05,77\n2027-01-06,warm\n")

    shown = words_of(looked.text)
    assert "Line 2, Temp °C: 35 °C is far from what is usual." in shown
    assert "Line 3, Temp °C: 77 °C would be too hot to touch. Did you mean 77 °F" in shown
    assert "Line 4, Temp °C: warm is no number." in shown

    half = save(adult, looked, leave_refused="y")
    assert half.status_code == 422
    assert standing(record) == 0

    assert save(adult, half, confirmed="y", leave_refused="y").status_code == 303
    assert standing(record) == 1


def test_what_was_ticked_does_not_count_for_another_reading(
    adult: CheckedClient, record: Record
) -> None:
    looked = hand_in(
        adult,
        "Date,Water\n2027-01-04,35\n",
    )
    chosen = {"column_1": "temperature|°C|"}

    answer = save(adult, looked, confirmed="y", **chosen)

    assert answer.status_code == 422
    assert standing(record) == 0
    assert "35 °C is far from what is usual" in words_of(answer.text)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "The file is empty."),
        ("no table at all", "there is one column only"),
        ("Date,pH\n", "There is no row under the headings."),
        ('Date,pH\n2027-01-04,"7.2\n', "Line 2 has a quote that is never closed"),
        ("Date,pH\n2027-01-04,7\0", "no text file"),
        (",".join("abcdefghijklmnopqrstuvwxyz"), "26 columns; up to 24 can be read"),
    ],
)
def test_what_is_no_table_is_told(
    adult: CheckedClient, record: Record, text: str, said: str
) -> None:
    answer = hand_in(adult, text)

    assert answer.status_code == 422
    assert said in words_of(answer.text)


def test_without_a_date_there_is_nothing_to_read(adult: CheckedClient) -> None:
    answer = hand_in(adult, "a,b\n1,2\n")

    assert answer.status_code == 422
    assert "Choose the column that holds the date." in words_of(answer.text)


def test_a_device_has_the_page_of_nobody(helper: CheckedClient) -> None:
    assert helper.get(URL).status_code == 403


def test_an_import_of_another_tank_is_not_there(adult: CheckedClient) -> None:
    assert adult.post(f"{URL}/77/take-back", data=form_on(adult.get(URL).text)).status_code == 404


def test_rows_that_cannot_be_read_are_not_called_known(adult: CheckedClient) -> None:
    looked = hand_in(adult, "Date,Temp (°C),pH\n2027-01-04,24.5 C,7.1\n2027-01-05,24.6 C,7.2\n")

    shown = words_of(looked.text)
    assert "They bring nothing Cannot be read: 2 rows" in shown
    assert "new" not in shown.partition("What it would bring")[2].partition("Your table")[0]


def test_rows_from_before_the_tank_was_started_are_told(adult: CheckedClient) -> None:
    shown = words_of(hand_in(adult, "Date,Temp (°C)\n2019-02-01,25.0\n2027-01-04,24.5\n").text)

    assert "First 2019-02-01, 1" in shown
    assert "Older than this tank It was started on 202" in shown
    assert "Older than" not in words_of(hand_in(adult, GOOD).text)
