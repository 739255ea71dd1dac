"""The chart page: picture, words and table of the same readings; unchanged ones answer 304."""

from datetime import timedelta

import pytest

from app.clock import FixedClock
from app.domain.drafts import NewTest
from app.domain.quantities import Quantity
from tests.page_checker import CheckedClient
from tests.record import MONDAY, ONE_SCOOP, Record, reading
from tests.web.test_story import correct_ph
from tests.web.visits import seen, words_of


@pytest.fixture
def warm_week(record: Record) -> None:
    for days in range(7):
        at = MONDAY - timedelta(days=days)
        record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 24.0 + days / 10), at=at)


@pytest.mark.usefixtures("warm_week")
def test_the_picture_its_words_and_its_table_say_the_same(helper: CheckedClient) -> None:
    answer = helper.get("/tank/1/charts/temperature?days=30")
    text = words_of(answer.text)
    assert '<svg viewBox="' in answer.text
    assert "24.0" in text
    assert "24.6" in text
    assert answer.text.count('<th scope="row"') == 7


@pytest.mark.usefixtures("warm_week")
@pytest.mark.parametrize(("days", "rows"), [("7", 7), ("90", 7), ("365", 7), ("all", 7)])
def test_every_stretch_is_drawn(adult: CheckedClient, days: str, rows: int) -> None:
    answer = adult.get(f"/tank/1/charts/temperature?days={days}")
    assert answer.status_code == 200
    assert answer.text.count('<th scope="row"') == rows
    assert f'name="days" value="{days}" checked' in answer.text


@pytest.mark.usefixtures("warm_week")
def test_an_unchanged_chart_is_not_sent_again(
    adult: CheckedClient, record: Record, clock: FixedClock
) -> None:
    url = "/tank/1/charts/temperature"
    first = adult.get(url)
    tag = first.headers["ETag"]
    assert "no-cache" in first.headers["Cache-Control"]
    again = adult.get(url, headers={"If-None-Match": tag})
    assert (again.status_code, again.data) == (304, b"")
    record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 25.5))
    changed = adult.get(url, headers={"If-None-Match": tag})
    assert changed.status_code == 200
    assert changed.headers["ETag"] != tag
    clock.moment += timedelta(days=1)
    assert adult.get(url, headers={"If-None-Match": changed.headers["ETag"]}).status_code == 200


@pytest.mark.usefixtures("warm_week")
def test_adults_and_helpers_never_share_a_kept_page(
    adult: CheckedClient, helper: CheckedClient
) -> None:
    url = "/tank/1/charts/temperature"
    assert adult.get(url).headers["ETag"] != helper.get(url).headers["ETag"]
    assert "Cookie" in adult.get(url).headers["Vary"]


def test_the_menu_leads_to_what_was_measured(adult: CheckedClient, record: Record) -> None:
    record.write(NewTest(), reading(Quantity.NITRATE, 20.0, low=10.0, high=40.0))
    assert adult.get("/tank/1/charts").location == "/tank/1/charts/nitrate?days=30"


def test_choosing_leads_to_the_chosen_chart(adult: CheckedClient) -> None:
    answer = adult.get("/tank/1/charts?what=ph&days=90")
    assert answer.location == "/tank/1/charts/ph?days=90"


def test_with_nothing_measured_it_says_what_starts_it(adult: CheckedClient) -> None:
    assert "Nothing to draw yet" in seen(adult, "/tank/1/charts/nitrate")


@pytest.mark.parametrize("path", ["/tank/1/charts/mood", "/tank/1/charts/ph?days=5"])
def test_what_cannot_be_drawn_is_no_page(adult: CheckedClient, path: str) -> None:
    assert adult.get(path).status_code == 404


def test_a_correction_changes_the_picture(adult: CheckedClient, record: Record) -> None:
    correct_ph(record)
    text = seen(adult, "/tank/1/charts/ph")
    assert "6.8" in text
    assert "8.8" not in text


def test_a_year_and_a_half_of_daily_readings_fits_one_page(
    adult: CheckedClient, record: Record
) -> None:
    for days in range(540):
        warm = reading(Quantity.TEMPERATURE, 24.0 + days % 10 / 10)
        record.write(NewTest(), warm, at=MONDAY - timedelta(days=days))
    for stretch in ("365", "all"):
        answer = adult.get(f"/tank/1/charts/temperature?days={stretch}")
        assert answer.status_code == 200
