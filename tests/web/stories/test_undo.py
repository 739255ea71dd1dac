"""Undo for twenty seconds, fix for ten minutes, then the grown-up in charge."""

import pytest

from tests.page_checker import CheckedClient
from tests.web.stories.browsing import Form, Page, send, visit
from tests.web.stories.conftest import Place


@pytest.fixture
def device(place: Place) -> CheckedClient:
    """A device in the hands of the class."""
    return place.class_device()


@pytest.fixture
def fed(place: Place, device: CheckedClient) -> Page:
    """Today, just after Otter fed."""
    return place.open(device, "feed").press("Save", hands=str(place.record.otter))


def reload(page: Page) -> Page:
    return visit(page.client, page.answer.request.url)


def test_after_15_seconds_the_entry_is_gone_from_today(place: Place, fed: Page) -> None:
    place.pass_time(seconds=15)
    page = reload(fed).press("Undo")
    assert "Taken back: Fed, 1 scoop (0.12 g). It stays in the story." in page.words
    assert "NOT FED YET TODAY" in page.words


def test_the_adult_still_sees_it_as_undone(place: Place, fed: Page) -> None:
    place.pass_time(seconds=15)
    fed.press("Undo")
    story = place.open(place.adult(), "story?kind=food")
    assert "Taken back: undone" in story.words
    assert "<del>" in story.answer.text


def test_undo_pressed_twice_is_undone_once(place: Place, fed: Page) -> None:
    form = fed.form("Undo")
    first = send(fed.client, form)
    second = send(fed.client, form)
    assert first.status == second.status == 200
    assert place.open(place.adult(), "story?kind=food").words.count("Taken back: undone") == 1


@pytest.mark.parametrize(("seconds", "offered"), [(20, True), (21, False), (25, False)])
def test_the_button_stands_there_for_20_seconds(
    place: Place, fed: Page, seconds: int, offered: bool
) -> None:
    place.pass_time(seconds=seconds)
    assert ("Undo" in reload(fed).labels()) is offered


def test_the_old_button_pressed_after_25_seconds_says_what_helps(place: Place, fed: Page) -> None:
    form = fed.form("Undo")
    place.pass_time(seconds=25)
    page = send(fed.client, form)
    assert page.status == 403
    assert "The 20 seconds are over. Fix it, or ask the grown-up in charge." in page.words
    assert "FED 8:41" in place.open(fed.client).words


def test_the_same_helper_fixes_it_within_ten_minutes(place: Place, fed: Page) -> None:
    place.pass_time(minutes=9, seconds=59)
    page = reload(fed).follow("Fix")
    saved = page.press("Save", reason="misread", amount="0.5")
    assert saved.status == 200
    assert "Saved. Fed, half a scoop (0.06 g) · Otter" in saved.words
    assert "FED 8:41, Otter" in saved.words


def test_after_eleven_minutes_fix_is_gone_and_its_page_says_whom_to_ask(
    place: Place, fed: Page
) -> None:
    fix = next(url for words, url in fed.links if words == "Fix")
    form = visit(fed.client, fix).form()
    place.pass_time(minutes=11)
    assert "Fix" not in [words for words, _ in reload(fed).links]
    for page in (visit(fed.client, fix), send(fed.client, _filled(form))):
        assert page.status == 403
        assert "The 10 minutes are over. Ask the grown-up in charge." in page.words


def _filled(form: Form) -> Form:
    form.put("reason", "misread")
    form.put("amount", "0.5")
    return form


def test_an_adult_may_undo_a_day_later(place: Place, fed: Page) -> None:
    place.pass_time(days=1)
    page = place.open(place.adult(), "story?kind=food").follow("Fed, 1 scoop (0.12 g)")
    assert "Undo" in page.labels() or "Take it back" in page.labels(), list(page.labels())


def test_undoing_the_undone_is_not_offered(fed: Page) -> None:
    page = reload(fed)
    page.press("Undo")
    assert "Undo" not in reload(fed).labels()
    assert "Taken back: Fed, 1 scoop (0.12 g)" in reload(fed).words
