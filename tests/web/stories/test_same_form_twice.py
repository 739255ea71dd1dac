"""Whatever is sent twice is saved once; other values on the same form are shown and asked about."""

from concurrent.futures import ThreadPoolExecutor

import pytest

from tests.page_checker import CheckedClient
from tests.web.stories.browsing import Form, Page, send
from tests.web.stories.conftest import Place

AT_ONCE = 8


def fed_rows(place: Place, client: CheckedClient) -> int:
    """How many meals of today stand in the story and count."""
    today = place.open(client, "story?kind=food").words.split("Friday")[0]
    return today.count("Fed, ")


def filled(place: Place, client: CheckedClient, page: str = "feed", **values: str) -> Form:
    form = place.open(client, page).form()
    for name, value in values.items():
        form.put(name, value)
    return form


def saved_id(page: Page) -> str:
    """Which entry the answer says was saved."""
    return page.answer.request.args["saved"]


def test_three_presses_and_a_reload_are_one_meal(place: Place) -> None:
    adult = place.adult()
    form = filled(place, adult, temperature="24.9")
    pages = []
    for _ in range(3):
        pages.append(send(adult, form))
        place.pass_time(seconds=0.6)
    place.open(adult, "feed")
    pages.append(send(adult, form))
    assert len({saved_id(page) for page in pages}) == 1
    assert all("Fed, 1 scoop (0.12 g) · Temperature 24.9 °C" in page.words for page in pages)
    assert fed_rows(place, adult) == 1


@pytest.mark.parametrize(
    ("page", "values"),
    [
        ("feed", {"temperature": "24.9"}),
        ("look", {"seen": "16"}),
        ("test", {"ph": "7.4"}),
        ("change", {"liters_out": "20", "treated": "yes"}),
        ("job?job=glass", {}),
    ],
)
def test_eight_presses_at_once_are_one_entry(
    place: Place, page: str, values: dict[str, str]
) -> None:
    adult = place.adult()
    form = filled(place, adult, page, **values)
    twins = [place.twin(adult) for _ in range(AT_ONCE)]
    with ThreadPoolExecutor(AT_ONCE) as pool:
        pages = list(pool.map(lambda twin: send(twin, form), twins))
    assert {answer.status for answer in pages} == {200}
    assert len({saved_id(answer) for answer in pages}) == 1


def test_the_same_form_hours_later_is_still_the_same_entry(place: Place) -> None:
    adult = place.adult()
    form = filled(place, adult, temperature="24.9")
    first = send(adult, form)
    place.pass_time(hours=5)
    assert saved_id(send(adult, form)) == saved_id(first)
    assert fed_rows(place, adult) == 1


def test_two_open_forms_are_two_entries(place: Place) -> None:
    adult = place.adult()
    first = filled(place, adult, "test", ph="7.4")
    second = filled(place, adult, "test", ph="7.3")
    assert saved_id(send(adult, first)) != saved_id(send(adult, second))


def test_the_same_form_with_another_value_shows_both_and_saves_nothing_unasked(
    place: Place,
) -> None:
    adult = place.adult()
    form = filled(place, adult, "test", ph="7.4")
    first = send(adult, form)
    form.put("ph", "7.0")
    page = send(adult, form)
    assert page.status == 409
    assert "pH 7.4" in page.words
    assert "pH: 7.0" in page.words
    assert "pH 7.0" not in place.open(adult, "story").words
    kept = page.follow("Keep what is saved")
    assert kept.status == 200
    more = page.press("Save this as one more")
    assert more.status == 200
    assert "pH 7.0" in more.words
    assert saved_id(more) != saved_id(first)


def test_yesterdays_page_sent_again_with_another_value_asks(place: Place) -> None:
    adult = place.adult()
    form = filled(place, adult, temperature="24.9")
    send(adult, form)
    place.pass_time(days=1)
    form.put("temperature", "25.1")
    page = send(adult, form)
    assert page.status == 409
    assert "24.9" in page.words
    assert "25.1" in page.words


def test_fixing_what_is_saved_is_offered(place: Place) -> None:
    adult = place.adult()
    form = filled(place, adult, "test", ph="7.4")
    send(adult, form)
    form.put("ph", "7.0")
    page = send(adult, form).follow("Fix what is saved")
    assert page.form().value("ph") == "7.4"


def test_an_undone_entry_does_not_come_back_by_a_reload(place: Place) -> None:
    adult = place.adult()
    form = filled(place, adult, temperature="24.9")
    send(adult, form).press("Undo")
    page = send(adult, form)
    assert page.status == 200
    assert "NOT FED" in page.words
