"""The page of one's own letters: wished, shown beforehand, ended."""

from app.services import reminders
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.filling import form_on
from tests.web.visits import seen, words_of

URL = "/settings/letters"


def known(record: Record) -> reminders.Wish | None:
    with record.database.reading() as session:
        return reminders.wish_of(session, record.adult.person_id)


def test_nothing_is_wished_at_first_and_the_page_says_what_would_be_sent(
    adult: CheckedClient, record: Record
) -> None:
    shown = seen(adult, URL)

    assert known(record) is None
    assert "By itself Sillpond sends nothing." in shown
    assert "This is what would be sent now" in shown
    assert "Brook: Don’t know. " in shown


def test_a_wish_is_kept_and_ended(adult: CheckedClient, record: Record) -> None:
    form = form_on(adult.get(URL).text) | {"email": " ann@example.org ", "weekdays": ["0", "4"]}
    form.pop("only_if_due")

    assert adult.post(URL, data=form).status_code == 303
    assert known(record) == reminders.Wish(
        email="ann@example.org", weekdays=frozenset({0, 4}), only_if_due=False
    )
    page = adult.get(URL).text
    assert "No letter was sent to you yet." in words_of(page)

    adult.post(f"{URL}/end", data=form_on(page))
    assert known(record) is None


def test_a_wrong_address_is_told_and_kept_in_its_field(
    adult: CheckedClient, record: Record
) -> None:
    form = form_on(adult.get(URL).text) | {"email": "ann at example"}
    answer = adult.post(URL, data=form)

    assert answer.status_code == 422
    assert "plain e-mail address" in words_of(answer.text)
    assert 'value="ann at example"' in answer.text
    assert known(record) is None


def test_pupils_have_no_letters(helper: CheckedClient) -> None:
    assert helper.get(URL).status_code == 403
