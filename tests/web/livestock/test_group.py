"""The page of one group: batches, what happened, who is left, growth, moves."""

from datetime import timedelta

import pytest

from app.clock import FixedClock
from app.domain.records import EntryKind
from app.services.livestock import animals
from tests.page_checker import CheckedClient
from tests.record import MONDAY, Record
from tests.web.filling import form_on, lines, opened, save, saved_id
from tests.web.test_access import add_tank
from tests.web.visits import csrf_of, seen, words_of

GROUP, ENTRY, PAGE = "/tank/1/animals/1", "/tank/1/animals-entry", "/tank/1/fish-and-plants"
SIX = {"count": "6", "source": "Mill Street", "label": "May batch", "length_cm": "2,1"}


def counts(record: Record, tank_id: int = 1) -> dict[str, int]:
    with record.database.reading() as session:
        found = animals.groups(session, tank_id, now=MONDAY + timedelta(days=300))
    return {g.name: g.count for g in found}


def test_a_batch_arrives_and_is_watched_for_three_weeks(
    adult: CheckedClient, record: Record
) -> None:
    saved_id(save(adult, f"{GROUP}/arrive", **SIX))
    assert counts(record)["harlequin rasbora"] == 16
    row = "8 February 2027 6 May batch, Mill Street 2.1 cm not written 1 March 2027"
    assert row in seen(adult, GROUP)
    assert row in seen(adult, PAGE)


@pytest.mark.parametrize(("days", "watched"), [("20", True), ("21", False)])
def test_animals_that_were_apart_for_three_weeks_are_not_watched(
    adult: CheckedClient, days: str, watched: bool
) -> None:
    saved_id(save(adult, f"{GROUP}/arrive", **SIX, apart_days=days))
    assert ("1 March 2027" in seen(adult, PAGE)) is watched


def test_the_watch_ends_on_its_day(adult: CheckedClient, clock: FixedClock) -> None:
    saved_id(save(adult, f"{GROUP}/arrive", **SIX))
    clock.moment = MONDAY + timedelta(days=20)
    assert "Watch until" in seen(adult, PAGE)
    clock.moment = MONDAY + timedelta(days=21)
    assert "Nobody is being watched" in seen(adult, PAGE)


def test_an_arrival_is_saved_once_however_often_it_is_sent(
    adult: CheckedClient, record: Record
) -> None:
    form = opened(adult, f"{GROUP}/arrive") | SIX
    first = adult.post(f"{GROUP}/arrive", data=form)
    again = adult.post(f"{GROUP}/arrive", data=form)
    assert first.location == again.location
    assert counts(record)["harlequin rasbora"] == 16
    assert adult.post(f"{GROUP}/arrive", data=form | {"count": "7"}).status_code == 409


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"count": ""}, "Enter how many."),
        ({"count": "0"}, "Enter how many from 1 to 10000."),
        ({"length_cm": "long"}, "Write the length in cm with digits only."),
    ],
)
def test_an_arrival_says_what_is_wrong(
    adult: CheckedClient, changed: dict[str, str], sentence: str
) -> None:
    answer = save(adult, f"{GROUP}/arrive", **(SIX | changed))
    assert answer.status_code == 422
    assert sentence in words_of(answer.text)
    assert form_on(answer.text)["source"] == "Mill Street"


def test_a_life_table_counts_each_batch_by_itself(
    adult: CheckedClient, record: Record, clock: FixedClock
) -> None:
    saved_id(save(adult, f"{GROUP}/arrive", **SIX))
    with record.database.reading() as session:
        batch = str(animals.batches(session, 1)[0].id)
    clock.moment = MONDAY + timedelta(days=31)
    saved_id(save(adult, ENTRY, group="1", what="died", count="1", batch=batch))
    clock.moment = MONDAY + timedelta(days=61)

    page = seen(adult, GROUP)
    assert "May batch: 6 animals, 8 February 2027" in page
    assert "0 days 6 – – 30 days 6 – – 60 days 5 1 – 61 days 5 1 –" in page
    assert "1 died, batch May batch" in page


def test_a_loss_of_no_batch_stands_in_no_table(adult: CheckedClient) -> None:
    saved_id(save(adult, f"{GROUP}/arrive", **SIX))
    saved_id(save(adult, ENTRY, group="1", what="left", count="2"))
    said = "2 animals that died or left are of no batch, and in none of these tables."
    assert said in seen(adult, GROUP)


def test_a_batch_of_other_animals_is_refused(adult: CheckedClient, record: Record) -> None:
    saved_id(save(adult, f"{GROUP}/arrive", **SIX))
    with record.database.reading() as session:
        batch = str(animals.batches(session, 1)[0].id)
    answer = save(adult, ENTRY, group="2", what="died", count="1", batch=batch)
    assert answer.status_code == 422
    assert "Choose a batch of these animals." in words_of(answer.text)


def test_growth_is_read_from_what_was_measured(adult: CheckedClient) -> None:
    assert save(adult, ENTRY, group="1", what="measured", count="3").status_code == 422
    saved_id(save(adult, ENTRY, group="1", what="measured", count="3", length_cm="3.2"))
    page = seen(adult, GROUP)
    assert "8 February 2027 3 3.2 cm" in page
    assert "Last measured 3.2 cm" in page


def test_a_move_is_written_in_both_tanks_and_taken_back_in_both(
    adult: CheckedClient, record: Record
) -> None:
    pool = str(add_tank(record, "Pool"))
    url = f"{GROUP}/move"
    assert "Never into a pond" in seen(adult, url)
    assert save(adult, url, to_tank=pool, count="11").status_code == 422
    assert save(adult, url, to_tank="1", count="3").status_code == 422
    entry = saved_id(save(adult, url, to_tank=pool, count="3"))
    assert counts(record)["harlequin rasbora"] == 7
    assert counts(record, int(pool))["harlequin rasbora"] == 3
    assert "3 moved to another tank" in seen(adult, GROUP)

    # a move cannot be typed anew, only taken back
    fix = form_on(adult.get(f"/tank/1/entry/{entry}/fix").text)
    assert "group" not in fix
    undo = {"csrf_token": csrf_of(adult, ENTRY)}
    assert adult.post(f"/tank/1/entry/{entry}/undo", data=undo).status_code == 303
    assert counts(record)["harlequin rasbora"] == 10
    assert counts(record, int(pool))["harlequin rasbora"] == 0


def test_without_another_tank_nobody_moves(adult: CheckedClient) -> None:
    assert "Move to another tank" not in seen(adult, GROUP)


def test_an_entry_of_the_ledger_is_fixed_through_the_story(
    adult: CheckedClient, record: Record
) -> None:
    entry = saved_id(save(adult, ENTRY, group="1", what="measured", count="3", length_cm="3.2"))
    assert f'href="/tank/1/entry/{entry}"' in adult.get(GROUP).text
    fix = f"/tank/1/entry/{entry}/fix"
    assert opened(adult, fix)["length_cm"] == "3.2"
    assert save(adult, fix, length_cm="3.4", reason="misread").status_code == 303
    assert lines(record, EntryKind.STOCK_EVENT)[0].detail.length_cm == 3.4


def test_a_group_that_left_keeps_its_page(adult: CheckedClient) -> None:
    saved_id(save(adult, ENTRY, group="2", what="left", count="6"))
    assert "No longer here: peppered cory ." in seen(adult, PAGE)
    assert "6 went to a new home" in seen(adult, "/tank/1/animals/2")


def test_there_is_no_page_of_a_group_that_is_not_there(adult: CheckedClient) -> None:
    for url in ("/tank/1/animals/9", "/tank/1/animals/9/change", "/tank/1/animals/9/arrive"):
        assert adult.get(url).status_code == 404
    assert adult.get("/tank/9/fish-and-plants").status_code == 404
