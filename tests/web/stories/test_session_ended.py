"""A form that outlives its session: what was typed is kept, and saved after signing in."""

from app.services.access import sign_ins
from tests.page_checker import CheckedClient
from tests.web.stories.browsing import send, visit
from tests.web.stories.conftest import Place


def test_a_form_left_open_all_day_still_works(place: Place) -> None:
    adult = place.adult()
    form = place.open(adult, "feed").form()
    form.put("temperature", "24.9")
    place.pass_time(hours=11)
    assert "Saved. Fed, 1 scoop (0.12 g) · Temperature 24.9 °C" in send(adult, form).words


def test_what_was_typed_survives_a_session_that_has_ended(place: Place) -> None:
    adult = place.adult()
    form = place.open(adult, "test").form()
    form.put("ph", "7.4")
    form.put("note", "after the water change")
    place.pass_time(days=181)
    page = send(adult, form)
    assert page.status == 400
    assert "What you wrote is still here." in page.words
    kept = page.form("Save it now")
    assert kept.value("ph") == "7.4"
    assert kept.value("note") == "after the water change"
    assert kept.action.endswith(place.url("test"))
    _sign_in_on_a_second_page(place, adult)
    again = send(adult, kept)
    saved = again if again.status == 200 else again.press("Save it now")
    assert "pH 7.4" in saved.words
    assert "after the water change" in saved.words


def test_after_signing_out_elsewhere_in_the_browser(place: Place) -> None:
    adult = place.adult()
    form = place.open(adult, "look").form()
    form.put("seen", "16")
    assert visit(adult, "/device").press("Sign out here").path == "/"
    page = send(adult, form)
    assert page.status == 400
    assert page.form("Save it now").value("seen") == "16"
    _sign_in_on_a_second_page(place, adult)
    again = send(adult, page.form("Save it now"))
    saved = again if again.status == 200 else again.press("Save it now")
    assert "16 of 16 seen" in saved.words


def test_nothing_is_saved_while_nobody_is_signed_in(place: Place) -> None:
    adult = place.adult()
    form = place.open(adult, "feed").form()
    visit(adult, "/device").press("Sign out here")
    send(adult, form)
    assert "NOT FED" in place.open(place.adult()).words


def _sign_in_on_a_second_page(place: Place, client: CheckedClient) -> None:
    with place.record.database.writing() as session:
        link = sign_ins.make_link(session, now=place.clock.now())
    assert client.get(f"/sign-in/{link}").status_code == 303
