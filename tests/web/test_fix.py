"""Fixing an entry: by whom, for how long, in which units, and what stays in the story."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from app.clock import FixedClock
from app.domain.quantities import Quantity
from app.domain.records import EntryKind
from tests.page_checker import CheckedClient
from tests.record import MONDAY, Record
from tests.web.filling import lines, opened, save, saved_id
from tests.web.visits import seen

TANK = "/tank/1"


def test_a_misread_ph_is_fixed_and_stays_in_the_story(
    adult: CheckedClient, record: Record, clock: FixedClock
) -> None:
    typed = {"ph": "8.8", "ammonia": "0.5", "temperature": "25.0"}
    clock.moment += timedelta(seconds=20)
    entry_id = saved_id(save(adult, f"{TANK}/test", hands=str(record.finch), **typed))
    clock.moment += timedelta(hours=2)
    fix = f"{TANK}/entry/{entry_id}/fix"

    form = opened(adult, fix)
    assert (form["ph"], form["ammonia"], form["hands"]) == ("8.8", "0.5", str(record.finch))
    assert adult.post(fix, data=form | {"ph": "6.8"}).status_code == 422  # the reason is missing
    saved_id(adult.post(fix, data=form | {"ph": "6.8", "reason": "misread"}))

    new, old = lines(record, EntryKind.WATER_TEST)
    assert (old.status.value, new.status.value, new.reason) == ("corrected", "ok", "misread")
    assert new.happened_at == old.happened_at == MONDAY + timedelta(seconds=20)
    assert {r.quantity: r.value for r in new.readings}[Quantity.PH] == 6.8
    assert new.hands == "Finch"


def test_somebody_else_was_faster(adult: CheckedClient, record: Record, clock: FixedClock) -> None:
    entry_id = saved_id(save(adult, f"{TANK}/feed", temperature="24.9"))
    fix = f"{TANK}/entry/{entry_id}/fix"
    late = opened(adult, fix) | {"reason": "misread", "temperature": "24.1"}
    saved_id(save(adult, fix, reason="misread", temperature="24.5"))

    assert adult.post(fix, data=late).status_code == 409
    assert adult.get(fix).status_code == 403


def test_an_entry_for_another_tank_is_taken_back(adult: CheckedClient, record: Record) -> None:
    entry_id = saved_id(save(adult, f"{TANK}/change", liters_out="20", treated="yes"))

    answer = save(adult, f"{TANK}/entry/{entry_id}/fix", reason="wrong tank")

    assert answer.status_code == 303
    (job,) = lines(record, EntryKind.JOB)
    assert (job.status.value, job.taken_back) == ("withdrawn", "wrong tank")


@pytest.mark.parametrize("kind", ["feed", "look", "job?job=filter_rinse", "animals-entry"])
def test_every_kind_opens_with_what_it_says(
    adult: CheckedClient, record: Record, kind: str
) -> None:
    entries: dict[str, dict[str, Any]] = {
        "feed": {"amount": "more", "scoops": "2"},
        "look": {"seen": "14", "signs": ["smell"]},
        "job?job=filter_rinse": {"rinse": "treated", "note": "brown"},
        "animals-entry": {"group": "1", "what": "found", "count": "2"},
    }
    more = entries[kind]
    entry_id = saved_id(save(adult, f"{TANK}/{kind}", **more))

    form = opened(adult, f"{TANK}/entry/{entry_id}/fix")

    assert {name: form[name] for name in more} == more


def test_a_water_change_is_fixed_in_the_units_that_the_household_reads(
    adult: CheckedClient,
) -> None:
    save(adult, "/settings", warmth="f", volume="gal")
    typed = {"liters_out": "3.5", "new_water": "76", "treated": "yes"}
    entry_id = saved_id(save(adult, f"{TANK}/change", **typed))

    form = opened(adult, f"{TANK}/entry/{entry_id}/fix")

    assert {name: form[name] for name in typed} == typed
    assert (form["liters_in"], form["volume_unit"]) == ("3.5", "gal")


def test_helpers_get_no_reasons_that_take_back(helper: CheckedClient, record: Record) -> None:
    entry_id = saved_id(save(helper, f"{TANK}/feed", hands=str(record.otter)))
    fix = f"{TANK}/entry/{entry_id}/fix"

    assert "Wrong tank" not in seen(helper, fix)
    assert save(helper, fix, reason="wrong tank").status_code == 422


@pytest.mark.parametrize(
    ("url", "more"),
    [
        ("animals-entry", {"group": "1", "what": "found", "count": "2"}),
        ("job?job=treatment", {"note": "By the label."}),
    ],
)
def test_helpers_fix_nothing_that_adults_write(
    helper: CheckedClient, adult: CheckedClient, record: Record, url: str, more: dict[str, str]
) -> None:
    entry_id = saved_id(save(adult, f"{TANK}/{url}", **more))
    fix = f"{TANK}/entry/{entry_id}/fix"
    form = opened(adult, fix) | {"reason": "misread", "note": "changed"}
    csrf = opened(helper, f"{TANK}/feed")["csrf_token"]

    assert helper.get(fix).status_code == 403
    assert helper.post(fix, data=form | {"csrf_token": csrf}).status_code == 403
    assert adult.post(fix, data=form).status_code == 303


def test_an_unknown_entry_is_not_there(adult: CheckedClient) -> None:
    assert adult.get(f"{TANK}/entry/9999/fix").status_code == 404
    assert adult.get("/tank/99/feed").status_code == 404


def test_a_late_entry_says_so(adult: CheckedClient, record: Record, clock: FixedClock) -> None:
    saved_id(save(adult, f"{TANK}/look", seen="16", when="pick", picked="2027-02-06T10:00"))

    (look,) = lines(record, EntryKind.OBSERVATION)
    assert look.happened_at == datetime(2027, 2, 6, 15, 0, tzinfo=UTC)
    assert look.added_later


def test_the_page_says_on_which_day_the_entry_was(
    adult: CheckedClient, record: Record, clock: FixedClock
) -> None:
    written = saved_id(save(adult, f"{TANK}/look", seen="16"))
    clock.moment += timedelta(days=3)

    assert "Monday 8:41 am, by" in seen(adult, f"{TANK}/entry/{written}/fix")
