"""The page of the next readings: what is expected, what does not add up, which test tells most."""

from datetime import timedelta

import pytest

from app.domain.drafts import NewLook, NewTest
from app.domain.quantities import Quantity
from tests.page_checker import CheckedClient
from tests.record import Record, reading
from tests.web.visits import seen

URL = "/tank/1/ahead/next-tests"


def measured(record: Record, days_ago: int, quantity: Quantity, value: float) -> None:
    """A test with a meter, in the kept unit."""
    record.write(NewTest(), reading(quantity, value), at=record.now - timedelta(days=days_ago))


@pytest.fixture
def steady(record: Record) -> Record:
    """pH 7.4 on each of four weeks."""
    for days in (28, 21, 14, 7):
        measured(record, days, Quantity.PH, 7.4)
    return record


def test_nothing_tested_is_said(adult: CheckedClient) -> None:
    page = seen(adult, URL)

    assert "Nothing was tested yet." in page
    assert "Write a test" in page


@pytest.mark.usefixtures("steady")
def test_what_is_expected_stands_with_its_working(adult: CheckedClient) -> None:
    page = seen(adult, URL)

    # the median of four equal readings, and at least 0.3 to either side (by hand)
    assert "7.1 to 7.7" in page
    assert "7.4 ± max(3 × 0.00; 0.30) = 7.1 to 7.7" in page
    assert "too few to compare" in page


def test_what_fits_and_what_does_not(adult: CheckedClient, steady: Record) -> None:
    measured(steady, 1, Quantity.PH, 7.5)
    assert "It fits." in seen(adult, URL)

    measured(steady, 0, Quantity.PH, 6.5)
    page = seen(adult, URL)

    assert "pH: something does not add up" in page
    assert "Expected was 7.1 to 7.7: estimate, not measured." in page
    assert "The kit is old, or the tube was not shaken or timed well." in page
    assert "Then test KH" in page


def test_the_why_card_leads_to_the_page(adult: CheckedClient, steady: Record) -> None:
    measured(steady, 0, Quantity.PH, 6.5)
    steady.write(NewLook())

    assert 'href="/tank/1/ahead/next-tests"' in adult.get("/tank/1/to-do/test-ph").text


@pytest.mark.usefixtures("steady")
def test_the_overview_names_the_best_next_test(adult: CheckedClient) -> None:
    page = seen(adult, "/tank/1/ahead")

    assert "Next readings" in page
    assert "first: no test of it counts any more." in page


def test_the_page_is_for_adults(helper: CheckedClient) -> None:
    assert helper.get(URL).status_code == 403
