"""The wait after wrong passphrases: it grows, it is one name's own, and it outlives the process."""

from datetime import timedelta

import pytest
from sqlalchemy import func, select

from app.domain.errors import Refused
from app.services.access import passphrases, sign_ins, tries
from app.services.access.tries import FREE_TRIES, FREE_TRIES_FROM_ONE_ADDRESS, Origin
from app.storage.engine import Database
from app.storage.models.access import SignInTry
from tests.record import Record, opened_again
from tests.services.access.test_sign_ins import HERS, PHRASE, join

HOME = Origin("192.0.2.7", "a key")
AWAY = Origin("198.51.100.9", "a key")


def wrong(database: Database, record: Record, name: str = "", origin: Origin = HOME) -> str:
    """What a wrong try is told."""
    with database.writing() as session, pytest.raises(Refused) as refused:
        sign_ins.sign_in_with_passphrase(session, "wrong", name=name, now=record.now, origin=origin)
    return str(refused.value)


def right(database: Database, record: Record, phrase: str, name: str, origin: Origin) -> bool:
    with database.writing() as session:
        return bool(
            sign_ins.sign_in_with_passphrase(
                session, phrase, name=name, now=record.now, origin=origin
            )
        )


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """No hash is computed: for tests of many tries."""
    monkeypatch.setattr(
        passphrases, "is_right", lambda person, typed: person is not None and typed != "wrong"
    )


@pytest.fixture
def two(record: Record) -> Record:
    """A record with two adults who have passphrases: the first keeper, and Mara."""
    with record.database.writing() as session:
        passphrases.set_passphrase(session, PHRASE)
        join(session, record, "Mara")
    return record


@pytest.mark.usefixtures("quick")
def test_the_wait_begins_after_five_tries_and_doubles_up_to_a_quarter_of_an_hour(
    record: Record,
) -> None:
    with record.database.writing() as session:
        passphrases.set_passphrase(session, PHRASE)
    for _ in range(FREE_TRIES):
        assert "not the passphrase" in wrong(record.database, record)
    waits = []
    for _ in range(9):
        told = wrong(record.database, record)
        seconds = int("".join(sign for sign in told if sign.isdigit())) - 1
        waits.append(seconds)
        record.pass_time(seconds=seconds)
        assert "not the passphrase" in wrong(record.database, record)
    # tries of more than an hour ago no longer count
    assert waits[:7] == [10, 20, 40, 80, 160, 320, 640]
    assert max(waits) == 900
    record.pass_time(minutes=15)
    assert right(record.database, record, PHRASE, "", HOME)


@pytest.mark.parametrize("name", ["Mara", "Nobody"])
def test_one_name_waits_and_no_other_whether_there_is_one_or_not(two: Record, name: str) -> None:
    for _ in range(FREE_TRIES):
        assert "do not fit" in wrong(two.database, two, name)
    assert "Wait" in wrong(two.database, two, name.upper())
    assert "Wait" in wrong(two.database, two, name, AWAY)
    assert right(two.database, two, PHRASE, "Grown-up in charge", HOME)


@pytest.mark.usefixtures("quick")
def test_an_address_that_tries_many_names_waits_and_others_come_in(two: Record) -> None:
    for number in range(FREE_TRIES_FROM_ONE_ADDRESS):
        wrong(two.database, two, f"name {number}")
    assert "Wait" in wrong(two.database, two, "one more")
    assert right(two.database, two, HERS, "Mara", AWAY)


@pytest.mark.usefixtures("quick")
def test_one_names_wait_never_uses_an_address_up(two: Record) -> None:
    for _ in range(120):
        wrong(two.database, two, "Mara")
        two.pass_time(seconds=30)
    assert right(two.database, two, PHRASE, "Grown-up in charge", HOME)


def test_a_second_process_and_a_restart_know_of_the_tries(two: Record) -> None:
    other = opened_again(two.database)
    for turn in range(FREE_TRIES):
        assert "do not fit" in wrong((two.database, other)[turn % 2], two, "Mara")
    assert "Wait" in wrong(other, two, "Mara")
    assert "Wait" in wrong(two.database, two, "Mara")
    other.close()


def test_a_wait_is_told_before_any_hash_is_computed(
    two: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    for _ in range(FREE_TRIES):
        wrong(two.database, two, "Mara")
    monkeypatch.setattr(passphrases, "is_right", lambda *_: pytest.fail("a hash was computed"))
    assert "Wait" in wrong(two.database, two, "Mara")


def test_of_name_and_address_only_keyed_hashes_stand_and_old_ones_go(two: Record) -> None:
    wrong(two.database, two, "Mara")
    with two.database.reading() as session:
        (row,) = session.scalars(select(SignInTry))
    assert row.name_hash != tries.tried("Mara", Origin("", "another key")).name_hash
    assert len(row.name_hash) == len(row.address_hash) == 64
    two.now += tries.REMEMBERED + timedelta(seconds=1)
    wrong(two.database, two, "Nobody")
    with two.database.reading() as session:
        assert session.scalar(select(func.count(SignInTry.id))) == 1
