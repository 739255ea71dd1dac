"""A device in the hands of the class: four pages, and no forged field does more."""

import pytest
from werkzeug.datastructures import MultiDict

from app.domain.drafts import NewTest
from app.domain.quantities import Quantity
from tests.page_checker import CheckedClient
from tests.record import reading
from tests.web.stories.browsing import Control, send, visit
from tests.web.stories.conftest import Place

FOUR = ["Today", "Write down", "Charts", "Words"]
FOR_ADULTS = (
    "to-do", "story", "entry/1", "set-up", "measures", "animals", "kits", "scoop", "plan",
    "ranges", "bring-in", "animals-entry",
)  # fmt: skip
SITE_PAGES = (
    "/settings", "/settings/breaks", "/settings/tap-water", "/tank/new",
    "/numbers",
)  # fmt: skip


@pytest.fixture
def device(place: Place) -> CheckedClient:
    """A device in the hands of the class."""
    return place.class_device()


def test_the_menu_has_four_pages(place: Place, device: CheckedClient) -> None:
    page = place.open(device)
    menu = [words for words, _ in page.links if words in {*FOUR, "To do", "Story", "Settings"}]
    assert list(dict.fromkeys(menu)) == FOUR
    for words in FOUR:
        assert page.follow(words).status == 200


def test_the_state_is_told_in_words_for_children(place: Place, device: CheckedClient) -> None:
    place.record.write(NewTest(), reading(Quantity.NITRATE, 60.0), at=place.record.now)

    children, adult = place.open(device).words, place.open(place.adult()).words

    assert "Nitrate is 60 mg/L" in adult
    assert "Nitrate is 60 mg/L" not in children
    assert "Get a grown-up now." in children


def test_other_pages_say_whose_they_are(place: Place, device: CheckedClient) -> None:
    for url in [place.url(page) for page in FOR_ADULTS] + list(SITE_PAGES):
        page = visit(device, url)
        assert page.status == 403, f"{url} answered {page.status}"
        assert "Helpers have four pages: Today, Write down, Charts and Words." in page.words


def test_a_forged_tile_of_the_adult_is_refused(place: Place, device: CheckedClient) -> None:
    form = place.open(device, "feed").form()
    adult_tile = str(place.record.adult.author_id)
    assert adult_tile not in form.offered("hands")
    sent = form.pairs()
    sent.setlist("hands", [adult_tile])
    answer = device.post(form.action, data=sent)
    assert answer.status_code == 422
    assert "NOT FED" in place.open(device).words


@pytest.mark.parametrize("job", ["treatment", "equipment_check", "deep_check"])
def test_a_forged_job_of_the_adult_is_refused(
    place: Place, device: CheckedClient, job: str
) -> None:
    adult = place.adult()
    before = place.open(adult, "story?kind=jobs").words
    form = place.open(device, "job?job=glass").form()
    form.put("hands", str(place.record.otter))
    sent = form.pairs()
    sent.setlist("job", [job])
    assert device.post(form.action, data=sent).status_code == 403
    assert place.open(adult, "story?kind=jobs").words == before


def test_forged_fields_of_rights_and_authors_change_nothing(
    place: Place, device: CheckedClient
) -> None:
    form = place.open(device, "feed").form()
    form.put("hands", str(place.record.otter))
    for name, value in (
        ("rights", "adult"), ("author_id", "1"), ("done_by_id", "1"), ("by_adult", "1"),
        ("is_adult", "1"), ("recorded_at", "2020-01-01"), ("status", "withdrawn"),
        ("tank_id", "99"), ("grams", "500"), ("replaces_id", "1"), ("reason", "misread"),
    ):  # fmt: skip
        form.controls.append(Control(name, "text", value))
    assert "Fed, 1 scoop (0.12 g) · Otter" in send(device, form).words
    assert visit(device, place.url("story")).status == 403


@pytest.mark.parametrize("reason", ["wrong tank", "test page"])
def test_a_forged_reason_of_the_adult_takes_nothing_back(
    place: Place, device: CheckedClient, reason: str
) -> None:
    saved = place.open(device, "feed").press("Save", hands=str(place.record.otter))
    form = saved.follow("Fix").form()
    sent = MultiDict(form.pairs())
    sent.setlist("reason", [reason])
    assert device.post(form.action, data=sent).status_code == 422
    assert "FED 8:41" in place.open(device).words


def test_posts_to_pages_of_the_adult_change_nothing(place: Place, device: CheckedClient) -> None:
    adult = place.adult()
    before = {url: place.open(adult, url).words for url in ("set-up", "kits", "animals")}
    token = place.open(device, "feed").form().value("csrf_token")
    for url in [place.url(page) for page in FOR_ADULTS] + list(SITE_PAGES):
        data = {"csrf_token": token, "name": "Forged", "count": "9", "zone": "UTC"}
        assert device.post(url, data=data).status_code in {403, 405}, url
    assert {url: place.open(adult, url).words for url in before} == before


def test_the_old_cookie_of_the_adult_ends_with_the_hand_over(place: Place) -> None:
    client = place.adult()
    kept = place.twin(client)
    assert visit(client, "/device").press("Hand it to the helpers").status == 200
    assert kept.get(place.url("story")).status_code in {303, 403}
    assert visit(kept, place.url("story")).path == "/"


def test_several_adult_links_later_the_device_is_still_the_classs(
    place: Place, device: CheckedClient
) -> None:
    place.adult()
    assert visit(device, place.url("story")).status == 403
