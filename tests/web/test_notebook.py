"""The notebook through its pages: notes, what waits, search, private notes, and who sees what."""

import re
from html import unescape

import pytest
from flask import Flask

from app.clock import FixedClock
from app.domain.drafts import NewLook, NewNote
from app.domain.people import Role
from app.domain.records import EntryKind, Sign
from app.storage.models.access import Person
from tests.page_checker import CheckedClient
from tests.record import ALL_FINE, Record
from tests.web.conftest import signed_in
from tests.web.filling import form_on, lines, opened, save, saved_id
from tests.web.visits import csrf_of, seen, words_of

BOOK = "/tank/1/notebook"


def write_note(client: CheckedClient, text: str, **more: str) -> int:
    return saved_id(save(client, "/tank/1/note", note=text, **more))


def press(client: CheckedClient, page: str, **pressed: str) -> str:
    """Press a button of the form that leads to `action` on a page; returns the next page."""
    action = pressed.pop("action")
    answer = client.post(action, data={"csrf_token": csrf_of(client, page)} | pressed)
    assert answer.status_code == 303, answer.text
    return words_of(client.get(answer.location).text)


def test_a_note_of_an_adult_is_read_by_pupils_at_once(
    adult: CheckedClient, helper: CheckedClient
) -> None:
    write_note(adult, "The snail laid eggs on the glass.\nLook at the left corner.")
    for client in (adult, helper):
        assert "laid eggs on the glass. Look at the left corner." in seen(client, BOOK)
    assert "Note The snail" in seen(adult, "/tank/1/story")
    # it is no look: what the tank asks for has not changed
    assert "Nobody has looked" in seen(adult, "/tank/1/")


def test_a_pupils_note_waits_for_an_adult(
    adult: CheckedClient, helper: CheckedClient, record: Record
) -> None:
    asked = seen(helper, "/tank/1/note")
    assert "A grown-up reads it first" in asked
    entry_id = write_note(helper, "Two of them hide.", hands=str(record.otter))
    shown = seen(helper, f"/tank/1/?saved={entry_id}")
    assert "A grown-up reads your words first" in shown
    assert "hide" not in shown + seen(helper, BOOK)
    assert "1 photo or note of a helper waits for your look" in seen(adult, "/tank/1/")
    assert "your look" not in seen(helper, "/tank/1/")
    assert "1 from helpers waits for your look" in seen(adult, BOOK)
    assert "Two of them hide." in seen(adult, f"{BOOK}/waiting")

    url = f"{BOOK}/note/{entry_id}/decide"
    after = press(adult, f"{BOOK}/waiting", action=url, show="yes")

    assert "The words are shown now" in after
    assert "Nothing waits" in after
    assert "Two of them hide." in seen(helper, BOOK)
    assert "your look" not in seen(adult, "/tank/1/")

    press(adult, BOOK, action=url, show="no", back="book")
    assert "hide" not in seen(helper, BOOK)
    assert "Not shown. Only adults see it." in seen(adult, BOOK)


def test_words_beside_a_pupils_look_wait_too(
    adult: CheckedClient, helper: CheckedClient, record: Record
) -> None:
    hands = str(record.finch)
    look = saved_id(save(helper, "/tank/1/look", seen="16", note="Hello all", hands=hands))
    assert "16 of 16 seen" in seen(helper, f"/tank/1/?saved={look}")
    assert "Hello all" not in seen(helper, f"/tank/1/?saved={look}")
    assert "Look Hello all" in seen(adult, BOOK)


def test_a_note_is_fixed_and_taken_back_on_the_pages_of_entries(
    adult: CheckedClient, record: Record
) -> None:
    entry_id = write_note(adult, "Snail egs.")
    fixed = saved_id(
        adult.post(
            f"/tank/1/entry/{entry_id}/fix",
            data=opened(adult, f"/tank/1/entry/{entry_id}/fix")
            | {"note": "Snail eggs.", "reason": "misread"},
        )
    )
    assert "Snail egs." not in seen(adult, BOOK)
    assert "Snail eggs." in seen(adult, BOOK)
    press(adult, f"/tank/1/entry/{fixed}", action=f"/tank/1/entry/{fixed}/undo")
    assert "Snail egs." in seen(adult, BOOK)
    assert [line.title for line in lines(record, EntryKind.OBSERVATION)] == ["Note", "Note"]


@pytest.mark.parametrize(
    ("note", "sentence"), [("  ", "Write something down first."), ("x" * 501, "Use 500 letters")]
)
def test_a_note_that_cannot_be_kept_stays_in_its_field(
    adult: CheckedClient, note: str, sentence: str
) -> None:
    answer = save(adult, "/tank/1/note", note=note)
    assert answer.status_code == 422
    assert sentence in words_of(answer.text)
    assert form_on(answer.text)["note"].strip() == note.strip()


def test_adults_find_what_was_typed_and_pupils_have_no_search(
    adult: CheckedClient, helper: CheckedClient, record: Record
) -> None:
    record.write(NewLook(seen=16, note="Aïko sat on the moss."), by=record.otter)
    found = seen(adult, f"{BOOK}/search?q=AIKO")
    assert "Aïko sat on the moss." in found
    assert "peppered cory" in seen(adult, f"{BOOK}/search?q=c%C3%B3ry")
    assert "Nothing found" in seen(adult, f"{BOOK}/search?q=shark")
    assert "Nothing found" not in seen(adult, f"{BOOK}/search?q=")
    assert helper.get(f"{BOOK}/search?q=aiko").status_code == 403
    assert f"{BOOK}/search" not in helper.get(BOOK).text


@pytest.mark.parametrize("before", ["yesterday", "2027-02-08", "2027-02-08T13:41:00.0Z", "0"])
def test_a_page_of_the_notebook_that_cannot_be_is_not_there(
    adult: CheckedClient, before: str
) -> None:
    assert adult.get(BOOK, query_string={"before": before}).status_code == 404
    assert adult.get(f"{BOOK}/spots", query_string={"before": before}).status_code == 404


def test_older_pages_of_the_notebook_follow(adult: CheckedClient, record: Record) -> None:
    for number in range(40):
        record.pass_time(minutes=1)
        record.write(NewNote(note=f"number {number} of them"))
    # the clock of the pages stands at the beginning
    first = adult.get(BOOK).text
    assert "number 39 of" in first
    assert "number 3 of" not in first
    found = re.search(r'href="([^"]+before=[^"]+)"', first)
    assert found
    second = seen(adult, unescape(found[1]))
    assert "number 3 of" in second
    assert "number 39 of" not in second


def pages_of(app: Flask) -> list[str]:
    """Every address that is called by numbers alone, but for those of sums and charts."""
    with app.test_request_context():
        adapter = app.url_map.bind("localhost")
        return [
            adapter.build(rule.endpoint, dict.fromkeys(rule.arguments, 1))
            for rule in app.url_map.iter_rules()
            if "GET" in (rule.methods or ())
            and all(a.endswith("_id") for a in rule.arguments)
            and not rule.endpoint.startswith(("charts.", "ahead.", "workings.", "numbers."))
        ]


MARKER = "marker of a private thought"


def test_private_notes_stand_on_no_other_page(
    adult: CheckedClient, helper: CheckedClient, app: Flask, record: Record
) -> None:
    record.write(ALL_FINE)
    page = f"{BOOK}/private"
    answer = adult.post(page, data=opened(adult, page) | {"note": MARKER})
    assert answer.status_code == 303
    assert MARKER in seen(adult, page)
    assert helper.get(page).status_code == 403

    others = set(pages_of(app)) - {page}
    assert len(others) > 60
    for client in (adult, helper):
        for url in others:
            assert MARKER.encode() not in client.get(url).data, url
    assert MARKER not in seen(adult, f"{BOOK}/search?q=thought").replace("thought", "", 1)
    assert MARKER.encode() not in adult.get("/tank/1/measurements.csv").data

    empty = adult.post(page, data=opened(adult, page) | {"note": " "})
    assert empty.status_code == 422
    assert "Write something down first" in words_of(empty.text)

    press(adult, page, action=f"{page}/1/erase")
    assert MARKER not in seen(adult, page)
    again = adult.post(f"{page}/1/erase", data={"csrf_token": csrf_of(adult, page)})
    assert again.status_code == 404


@pytest.mark.parametrize("role", [Role.TECHNICIAN, Role.COORDINATOR])
def test_other_adults_see_neither_private_notes_nor_what_waits(
    app: Flask, record: Record, clock: FixedClock, role: Role
) -> None:
    client = signed_in(app, record, clock)
    waits = record.write(NewNote(note="marker that waits"), by=record.otter)
    with record.database.writing() as session:
        session.get_one(Person, record.adult.person_id).role = role.value
        session.commit()
    for url in (f"{BOOK}/private", f"{BOOK}/waiting"):
        assert client.get(url).status_code == 403
    for url in (f"{BOOK}/note/{waits.entry_id}/decide", f"{BOOK}/private/1/erase"):
        assert client.post(url, data={"show": "yes"}).status_code in {400, 403}
    assert "marker that waits" not in seen(client, BOOK)


def test_pupils_read_how_often_each_sign_was_seen(
    adult: CheckedClient, helper: CheckedClient, record: Record
) -> None:
    assert "nobody looked" in seen(helper, f"{BOOK}/seen")
    record.write(ALL_FINE)
    assert "No look saw anything odd." in seen(helper, f"{BOOK}/seen")
    record.write(NewLook(signs=(Sign.CLOUDY,)), by=record.otter)
    for client in (adult, helper):
        assert "Cloudy water – – – – – – 1 of 2" in seen(client, f"{BOOK}/seen")
        assert f"{BOOK}/seen" in client.get(BOOK).text
