"""Signing in: one-time links, the passphrase and its growing wait, handing over, tiles."""

from datetime import timedelta

import pytest
from sqlalchemy import select

from app.domain.errors import Refused
from app.services import people
from app.storage.models.access import Person, SignIn
from tests.record import ONE_SCOOP, Record

PHRASE = "four quiet herons wade"


def test_a_link_opens_once(record: Record) -> None:
    with record.database.writing() as session:
        token = people.make_link(session, now=record.now)
        session_token = people.use_link(session, token, now=record.now)
        with pytest.raises(Refused, match="closed"):
            people.use_link(session, token, now=record.now)
        visitor = people.visitor_of(session, session_token, now=record.now)
    assert visitor is not None
    assert visitor.is_adult


@pytest.mark.parametrize(("hours", "opens"), [(12, True), (12.1, False)])
def test_a_link_keeps_twelve_hours(record: Record, hours: float, opens: bool) -> None:
    with record.database.writing() as session:
        token = people.make_link(session, now=record.now)
        later = record.now + timedelta(hours=hours)
        if opens:
            assert people.use_link(session, token, now=later)
        else:
            with pytest.raises(Refused, match="closed"):
                people.use_link(session, token, now=later)


def test_only_hashes_are_kept(record: Record) -> None:
    with record.database.writing() as session:
        token = people.make_link(session, now=record.now)
        people.set_passphrase(session, PHRASE)
        kept = [*session.scalars(select(SignIn.token_hash))]
        phrase = session.scalar(select(Person.passphrase_hash))
    assert token not in " ".join(kept)
    assert phrase is not None
    assert phrase.startswith("$argon2id$v=19$m=19456,t=2,p=1$")


@pytest.mark.parametrize(
    "weak", ["short", "fourteen chars", "passwordpassword", "aaaaaaaaaaaaaaaa"]
)
def test_a_weak_passphrase_is_refused_with_what_helps(record: Record, weak: str) -> None:
    with record.database.writing() as session:
        with pytest.raises(Refused):
            people.set_passphrase(session, weak)
        assert not people.has_passphrase(session)


def test_wrong_passphrases_make_the_next_try_wait(record: Record) -> None:
    with record.database.writing() as session:
        people.set_passphrase(session, PHRASE)
        for _ in range(people.FREE_TRIES):
            with pytest.raises(Refused, match="not the passphrase"):
                people.sign_in_with_passphrase(session, "wrong", now=record.now)
        with pytest.raises(Refused, match=r"Wait 1[01] seconds"):
            people.sign_in_with_passphrase(session, PHRASE, now=record.now)
        later = record.now + timedelta(seconds=11)
        assert people.sign_in_with_passphrase(session, PHRASE, now=later)


def test_handing_over_ends_the_adults_session_on_this_device(record: Record) -> None:
    with record.database.writing() as session:
        token = people.use_link(session, people.make_link(session, now=record.now), now=record.now)
        adult = people.visitor_of(session, token, now=record.now)
        assert adult is not None
        handed = people.hand_over(session, adult, now=record.now)

        assert people.visitor_of(session, token, now=record.now) is None
        helper = people.visitor_of(session, handed, now=record.now)
    assert helper is not None
    assert not helper.is_adult


def test_signing_out_ends_the_session_on_the_server(record: Record) -> None:
    with record.database.writing() as session:
        token = people.use_link(session, people.make_link(session, now=record.now), now=record.now)
        visitor = people.visitor_of(session, token, now=record.now)
        assert visitor is not None
        people.sign_out(session, visitor, now=record.now)
        assert people.visitor_of(session, token, now=record.now) is None


def test_two_tiles_of_one_nickname_are_refused_and_a_freed_name_is_not(record: Record) -> None:
    record.write(ONE_SCOOP, by=record.otter)
    with record.database.writing() as session:
        with pytest.raises(Refused, match="Otter already"):
            people.add_helper(session, "Otter")
        people.remove_helper(session, record.otter, now=record.now)
        fresh = people.add_helper(session, "Otter")
        tiles = [h.author_id for h in people.hands(session)]
    assert fresh in tiles
    assert record.otter not in tiles
