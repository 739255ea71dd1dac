"""A loss stays private until the grown-up tells the class: no page of pupils shows it before."""

from datetime import timedelta

import pytest
from flask import Flask
from sqlalchemy import update

from app.clock import FixedClock
from app.domain.drafts import NewLook
from app.domain.people import Role
from app.domain.records import EntryKind, Sign
from app.services.livestock import animals
from app.storage.models.livestock import Observation
from app.web.rights import roles_of
from tests.page_checker import CheckedClient
from tests.record import ALL_FINE, MONDAY, Record
from tests.web.every_address import address_of
from tests.web.filling import lines, opened, save, saved_id
from tests.web.visits import csrf_of, seen, words_of

ENTRY, PAGE = "/tank/1/animals-entry", "/tank/1/fish-and-plants"
DIED = {"group": "1", "what": "died", "count": "1", "private": ["y"], "note": "behind the filter"}


@pytest.fixture
def loss(adult: CheckedClient, record: Record) -> int:
    """The entry of a rasbora that was found dead and is not told yet; a full count before it."""
    record.write(ALL_FINE, at=MONDAY - timedelta(hours=2), by=record.otter)
    return saved_id(save(adult, ENTRY, **DIED))


def release(adult: CheckedClient) -> None:
    answer = adult.post(f"{PAGE}/release", data={"csrf_token": csrf_of(adult, PAGE)})
    assert answer.status_code == 303


def test_in_a_class_the_tick_is_set_already(adult: CheckedClient) -> None:
    assert opened(adult, ENTRY)["private"] == ["y"]


def test_the_grown_up_sees_the_new_number_and_what_pupils_expect(
    adult: CheckedClient, loss: int
) -> None:
    page = seen(adult, PAGE)
    assert "15 expected now" in page
    assert "1 harlequin rasbora, Monday 8 February" in page
    assert "Pupils expect 10" in page
    assert "pupils are not told yet" in seen(adult, "/tank/1/animals/1")
    assert "died" in seen(adult, f"/tank/1/entry/{loss}")


def pages_of(app: Flask, helper: CheckedClient) -> dict[str, str]:
    """What every page that pupils may open says, by address."""
    theirs = {}
    for rule in app.url_map.iter_rules():
        reads = "GET" in (rule.methods or ()) and rule.endpoint != "static"
        if not reads or Role.HELPER not in (roles_of(rule.endpoint) or ()):
            continue
        url = address_of(app, rule, row=1)
        answer = helper.get(url)
        if answer.status_code == 200 and answer.mimetype == "text/html":
            theirs[url] = words_of(answer.text)
    return theirs


def test_no_page_of_pupils_changes_before_it_is_told(
    app: Flask, adult: CheckedClient, helper: CheckedClient, record: Record
) -> None:
    record.write(ALL_FINE, at=MONDAY - timedelta(hours=2), by=record.otter)
    record.write(NewLook(seen=16), at=MONDAY - timedelta(hours=1), by=record.finch)
    before = pages_of(app, helper)
    adults = seen(adult, "/tank/1/")
    assert len(before) > 8

    saved_id(save(adult, ENTRY, **DIED))
    assert seen(adult, "/tank/1/") != adults
    assert pages_of(app, helper) == before

    release(adult)
    assert pages_of(app, helper) != before


def test_a_dead_fish_that_an_adult_saw_is_told_by_no_page_of_pupils(
    app: Flask, adult: CheckedClient, helper: CheckedClient, record: Record
) -> None:
    look = record.write(NewLook(signs=(Sign.DEAD_FISH,)), at=MONDAY - timedelta(hours=1))
    with_it = pages_of(app, helper)
    assert "a dead fish" in seen(adult, f"/tank/1/entry/{look.entry_id}")
    assert "a dead fish" in seen(adult, "/tank/1/notebook/seen").lower()
    assert "a dead fish" not in seen(helper, f"/tank/1/?saved={look.entry_id}")

    with record.database.writing() as session:
        session.execute(update(Observation).values(signs=""))
        session.commit()
    assert pages_of(app, helper) == with_it


def test_a_dead_fish_that_a_helper_saw_stands_in_the_line_of_what_was_saved(
    helper: CheckedClient, record: Record
) -> None:
    look = record.write(NewLook(signs=(Sign.DEAD_FISH,)), by=record.otter)
    assert "a dead fish" in seen(helper, f"/tank/1/?saved={look.entry_id}")


def test_addresses_that_pupils_could_type_do_not_show_it(helper: CheckedClient, loss: int) -> None:
    assert "died" not in seen(helper, f"/tank/1/?saved={loss}")
    answer = helper.get(f"/tank/1/entry/{loss}/fix")
    assert answer.status_code == 404
    assert "rasbora" not in words_of(answer.text)
    assert helper.get("/tank/1/animals/1").status_code == 403


def test_pupils_go_on_with_the_old_number(
    adult: CheckedClient, helper: CheckedClient, record: Record, loss: int
) -> None:
    assert "16 of 16 fish" in seen(helper, "/tank/1/")
    assert "We expect 16." in seen(helper, "/tank/1/look")
    assert "16 of 15 fish" in seen(adult, "/tank/1/")
    # a full count of pupils is taken without a question
    assert save(helper, "/tank/1/look", seen="16", hands=str(record.otter)).status_code == 303
    assert save(helper, "/tank/1/look", seen="17", hands=str(record.otter)).status_code == 422


def test_a_count_is_shown_against_what_pupils_expect(
    helper: CheckedClient, adult: CheckedClient, record: Record, loss: int, clock: FixedClock
) -> None:
    answer = save(helper, "/tank/1/look", seen="15", hands=str(record.otter))
    assert "15 of 16 seen" in seen(helper, answer.location)
    assert "15 of 15 seen" in seen(adult, answer.location)
    release(adult)
    assert "15 of 15 seen" in seen(helper, answer.location)


def test_the_door_keeps_it_private_on_every_browser(adult: CheckedClient, loss: int) -> None:
    assert "died" not in seen(adult, "/tank/1/door")


def test_after_telling_pupils_see_it(
    adult: CheckedClient, helper: CheckedClient, loss: int
) -> None:
    release(adult)
    assert "Not told yet" not in seen(adult, PAGE)
    assert "16 of 15 fish" in seen(helper, "/tank/1/")
    assert "We expect 15." in seen(helper, "/tank/1/look")


def test_a_helper_cannot_tell_it(helper: CheckedClient, record: Record, loss: int) -> None:
    csrf = csrf_of(helper, "/tank/1/feed")
    answer = helper.post(f"{PAGE}/release", data={"csrf_token": csrf})
    assert answer.status_code == 403
    with record.database.reading() as session:
        assert len(animals.hidden_losses(session, 1)) == 1


def test_a_helper_cannot_take_the_loss_back(helper: CheckedClient, loss: int) -> None:
    csrf = csrf_of(helper, "/tank/1/feed")
    answer = helper.post(f"/tank/1/entry/{loss}/undo", data={"csrf_token": csrf})
    assert answer.status_code == 404
    assert "died" not in words_of(answer.text)


def test_the_list_of_tanks_keeps_it_private_too(
    adult: CheckedClient, helper: CheckedClient, record: Record, loss: int
) -> None:
    before = seen(adult, "/tanks")
    assert "died" not in seen(helper, "/tanks")
    # and what pupils read is not kept for the grown-up
    assert seen(adult, "/tanks") == before


def test_a_correction_never_tells(adult: CheckedClient, record: Record, loss: int) -> None:
    url = f"/tank/1/entry/{loss}/fix"
    answer = save(adult, url, note="in the plants", private=[], reason="misread")
    assert answer.status_code == 303
    newest = lines(record, EntryKind.STOCK_EVENT)[0]
    assert (newest.detail.note, newest.detail.hidden) == ("in the plants", True)


def test_without_the_tick_everybody_sees_it(
    adult: CheckedClient, helper: CheckedClient, record: Record
) -> None:
    record.write(ALL_FINE, at=MONDAY - timedelta(hours=2))
    saved_id(save(adult, ENTRY, **(DIED | {"private": []})))
    assert "16 of 15 fish" in seen(helper, "/tank/1/")
