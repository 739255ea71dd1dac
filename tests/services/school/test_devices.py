"""Devices of a class: unlocked by an adult, listed with their last day, locked again."""

from datetime import timedelta

import pytest

from app.domain.errors import NotFound, Refused
from app.domain.people import Role
from app.services.access import sign_ins
from app.services.school import devices
from tests.record import Record
from tests.services.access.test_people import invited, seen_as
from tests.services.access.test_sign_ins import came
from tests.web.test_access import add_tank


def test_unlocking_ends_the_adults_session_and_opens_the_tanks_of_the_class(
    record: Record,
) -> None:
    with record.database.writing() as session:
        token, adult = came(session, record)
        handed = devices.unlock(session, adult, 1, "  tablet by the window ", now=record.now)
        assert sign_ins.visitor_of(session, token, now=record.now) is None
        helper = seen_as(session, handed, record)
        (listed,) = devices.devices(session, record.adult, now=record.now)
    assert (helper.role, helper.tank_ids, helper.class_id) == (Role.HELPER, frozenset({1}), 1)
    assert (listed.name, listed.class_name) == ("tablet by the window", "Helpers")


def test_a_locked_device_is_out_at_its_next_request_and_others_stay(record: Record) -> None:
    with record.database.writing() as session:
        tokens = [
            devices.unlock(session, came(session, record)[1], 1, name, now=record.now)
            for name in ("window", "door")
        ]
        window = next(
            d for d in devices.devices(session, record.adult, now=record.now) if d.name == "window"
        )
        devices.lock(session, record.adult, window.session_id, now=record.now)
        there = [sign_ins.visitor_of(session, t, now=record.now) is not None for t in tokens]
        assert there == [False, True]
        with pytest.raises(NotFound):
            devices.lock(session, record.adult, window.session_id, now=record.now)


def test_a_session_of_an_adult_cannot_be_locked_as_a_device(record: Record) -> None:
    with record.database.writing() as session:
        _, adult = came(session, record)
        with pytest.raises(NotFound):
            devices.lock(session, record.adult, adult.session_id, now=record.now)


def test_the_list_tells_the_last_day_and_leaves_out_what_ended_by_itself(record: Record) -> None:
    with record.database.writing() as session:
        handed = devices.unlock(session, came(session, record)[1], 1, "", now=record.now)
        helper = seen_as(session, handed, record)
        used = record.now + timedelta(days=3)
        sign_ins.see(session, helper, now=used)
        (listed,) = devices.devices(session, record.adult, now=used)
        assert (listed.seen_at, listed.unlocked_at) == (used, record.now)
        assert devices.devices(session, record.adult, now=used + timedelta(days=61)) == ()


@pytest.mark.parametrize("class_id", [None, 0, 99])
def test_without_a_class_no_device_is_unlocked(record: Record, class_id: int | None) -> None:
    with record.database.writing() as session:
        token, adult = came(session, record)
        with pytest.raises(Refused, match="Choose the class"):
            devices.unlock(session, adult, class_id, "x", now=record.now)
        assert sign_ins.visitor_of(session, token, now=record.now) is not None


def test_a_keeper_of_some_tanks_gives_no_device_to_a_class_of_others(record: Record) -> None:
    pool = add_tank(record, "Pool")
    with record.database.writing() as session:
        her = seen_as(session, invited(session, record, Role.KEEPER, [pool]), record)
        with pytest.raises(Refused, match="Choose the class"):
            devices.unlock(session, her, 1, "x", now=record.now)
        devices.unlock(session, came(session, record)[1], 1, "window", now=record.now)
        assert devices.devices(session, her, now=record.now) == ()
