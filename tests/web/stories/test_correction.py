"""A misread number is corrected: it stays in the story, struck through, and causes nothing more."""

import csv
import re

import pytest

from app.services.exchange.measurements import export_csv
from tests.page_checker import CheckedClient
from tests.web.stories.browsing import Page
from tests.web.stories.conftest import Place


@pytest.fixture
def misread(place: Place) -> Page:
    """Finch reads pH 8.8 beside an ammonia of 0.5 at 25.0 °C; what Today says then."""
    device = place.class_device()
    page = place.open(device, "test").press(
        "Save", ph="8.8", ammonia="0.5", temperature="25.0", hands=str(place.record.finch)
    )
    if page.status == 422:
        page = page.press("Save", ph_again="8.8")
    assert page.status == 200, page.words
    return page


def correct(place: Place, adult: CheckedClient, **values: str) -> Page:
    page = place.open(adult, "story?kind=water").follow("Water test").follow("Fix")
    return page.press("Save", **({"reason": "misread"} | values))


def test_before_the_correction_the_task_presses(place: Place, misread: Page) -> None:
    words = place.open(place.adult(), "to-do").words
    # 0.5 mg/L at pH 8.8 and 25.0 °C: 26.4 %, 0.132 mg/L (Emerson and others 1975)
    share = re.search(r"\(9\.25 − 8\.8\)\) = ([\d.]+) %", words)
    assert share is not None
    assert float(share[1]) == pytest.approx(26.4, abs=0.1)
    assert "about 0.132 mg/L" in words
    # from 0.10 mg/L on it is more than "Act": the more cautious value for the animals
    assert "Act now" in place.open(place.adult(), "door").words


def test_after_it_the_task_is_gone_and_the_numbers_are_small(place: Place, misread: Page) -> None:
    adult = place.adult()
    saved = correct(place, adult, ph="6.8")
    assert saved.status == 200
    assert "pH 6.8" in saved.words
    words = place.open(adult, "to-do").words
    assert "0.132" not in words
    assert "pH 8.8" not in words.split("Good to know")[0]
    assert "Act now" not in place.open(adult, "door").words


def test_the_card_of_the_correction_shows_its_share(place: Place, misread: Page) -> None:
    adult = place.adult()
    correct(place, adult, ph="6.8")
    words = place.open(adult, "to-do").words
    # 0.5 mg/L total alone still says that a grown filter lags; the harmful part is 0.4 %, 0.002
    assert "0.36 %" in words
    assert "0.002 mg/L" in words


def test_the_history_shows_both_with_times_and_reason(place: Place, misread: Page) -> None:
    place.pass_time(hours=2)
    adult = place.adult()
    entry = correct(place, adult, ph="6.8").follow("Entry")
    assert entry.status == 200
    html = entry.answer.text
    assert "8.8" in html[html.index("<del>") :]
    for part in ("Replaced by a correction", "Corrected: misread", "8:41", "10:41", "6.8"):
        assert part in entry.words


def test_the_file_has_both_rows_with_their_status(place: Place, misread: Page) -> None:
    adult = place.adult()
    correct(place, adult, ph="6.8")
    with place.record.database.reading() as session:
        lines = list(csv.DictReader(export_csv(session, place.record.tank_id)))
    ph = {row["typed"]: row["status"] for row in lines if row["quantity"] == "ph"}
    assert ph["8.8"] == "corrected"
    assert ph["6.8"] == "ok"


def test_the_chart_uses_the_new_value(place: Place, misread: Page) -> None:
    adult = place.adult()
    correct(place, adult, ph="6.8")
    table = place.open(adult, "charts/ph").words.split("The same readings in words.")[1]
    assert "6.8" in table
    assert "8.8" not in table


def test_a_correction_needs_a_reason(place: Place, misread: Page) -> None:
    page = correct(place, place.adult(), ph="6.8", reason="misread")
    assert page.status == 200
    again = place.open(place.adult(), "story?kind=water").follow("Water test").follow("Fix")
    page = again.press("Save", ph="7.0")
    assert page.status == 422
    assert "Choose what was wrong." in page.words


def test_two_corrections_at_once_are_one_and_a_notice(place: Place, misread: Page) -> None:
    adult = place.adult()
    story = place.open(adult, "story?kind=water").follow("Water test")
    first, second = story.follow("Fix"), story.follow("Fix")
    assert first.press("Save", ph="6.8", reason="misread").status == 200
    page = second.press("Save", ph="6.9", reason="misread")
    assert page.status == 409
    assert "Somebody changed this entry meanwhile." in page.words


def test_undoing_the_correction_puts_the_old_value_back(place: Place, misread: Page) -> None:
    adult = place.adult()
    correct(place, adult, ph="6.8").press("Undo")
    assert "about 0.132 mg/L" in place.open(adult, "to-do").words


@pytest.mark.parametrize("reason", ["wrong tank", "test page"])
def test_an_entry_that_was_none_is_taken_back_with_its_reason(
    place: Place, misread: Page, reason: str
) -> None:
    adult = place.adult()
    page = correct(place, adult, reason=reason)
    assert "Taken back: Water test. It stays in the story." in page.words
    assert "0.132" not in place.open(adult, "to-do").words
    assert f"Taken back: {reason}" in place.open(adult, "story?kind=water").words


def test_a_reading_that_was_measured_twice_is_corrected_in_sight_of_both(place: Place) -> None:
    adult = place.adult()
    asked = place.open(adult, "test").press("Save", temperature="16.0")
    saved = asked.press("Save", temperature_again="17.0")
    assert "Temperature 16.5 °C, could be 16.0 °C to 17.0 °C" in saved.words
    page = saved.follow("Fix")
    assert page.form().value("temperature") == "16.0"
    assert page.form().value("temperature_again") == "17.0"
    kept = page.press("Save", reason="wrong tile", hands=str(place.record.otter))
    assert "Temperature 16.5 °C, could be 16.0 °C to 17.0 °C" in kept.words
    assert "Otter" in kept.words


def test_two_measurements_stay_two_when_only_the_note_is_corrected(place: Place) -> None:
    adult = place.adult()
    for day in range(5):
        place.pass_time(days=1)
        assert place.open(adult, "test").press("Save", ph=f"7.{day % 2}").status == 200
    asked = place.open(adult, "test").press("Save", ph="8.5")
    assert "Measure once more?" in asked.words
    saved = asked.press("Save", ph_again="8.3")
    page = saved.follow("Fix").press("Save", reason="misread", note="cloudy tube")
    assert "pH 8.4, could be 8.3 to 8.5" in page.words
