"""Signing in: one-time links, the passphrase, and how long a session lives."""

from datetime import timedelta

import pytest
from argon2 import PasswordHasher
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.domain.errors import Refused
from app.domain.people import Role
from app.services.access import invitations, passphrases, people, sign_ins
from app.services.access.people import Visitor
from app.storage.base import folded
from app.storage.models.access import Person, SignIn
from tests.record import Record

PHRASE = "four quiet herons wade"
HERS = "two slow barges turning"


def came(session: Session, record: Record, days: float = 0) -> tuple[str, Visitor]:
    """A session that began so many days after now, and who holds it."""
    now = record.now + timedelta(days=days)
    token = sign_ins.use_link(session, sign_ins.make_link(session, now=now), now=now)
    visitor = sign_ins.visitor_of(session, token, now=now)
    assert visitor is not None
    return token, visitor


def join(session: Session, record: Record, name: str, role: Role = Role.KEEPER) -> str:
    code = invitations.invite(session, record.adult, name, role, None, now=record.now)
    return invitations.accept(session, code, HERS, now=record.now)


def test_a_link_opens_once(record: Record) -> None:
    with record.database.writing() as session:
        token = sign_ins.make_link(session, now=record.now)
        session_token = sign_ins.use_link(session, token, now=record.now)
        with pytest.raises(Refused, match="closed"):
            sign_ins.use_link(session, token, now=record.now)
        visitor = sign_ins.visitor_of(session, session_token, now=record.now)
    assert visitor is not None
    assert visitor.is_adult


@pytest.mark.parametrize(("hours", "opens"), [(12, True), (12.1, False)])
def test_a_link_keeps_twelve_hours(record: Record, hours: float, opens: bool) -> None:
    with record.database.writing() as session:
        token = sign_ins.make_link(session, now=record.now)
        later = record.now + timedelta(hours=hours)
        if opens:
            assert sign_ins.use_link(session, token, now=later)
        else:
            with pytest.raises(Refused, match="closed"):
                sign_ins.use_link(session, token, now=later)


def test_only_hashes_are_kept(record: Record) -> None:
    with record.database.writing() as session:
        link = sign_ins.make_link(session, now=record.now)
        token, _ = came(session, record)
        passphrases.set_passphrase(session, PHRASE)
        code = invitations.invite(
            session, record.adult, "Mara", Role.TECHNICIAN, [1], now=record.now
        )
        kept = " ".join(session.scalars(select(SignIn.token_hash)))
        phrase = session.scalar(select(Person.passphrase_hash))
    assert not [secret for secret in (link, token, code, code.replace("-", "")) if secret in kept]
    assert phrase is not None
    assert phrase.startswith("$argon2id$v=19$m=19456,t=2,p=1$")


@pytest.mark.parametrize(
    ("used_on", "asked_on", "lives"),
    [
        ((), 60, True),
        ((), 60.1, False),
        ((59, 118, 177), 180, True),
        ((59, 118, 177), 180.1, False),
    ],
)
def test_a_session_ends_unused_after_60_days_and_always_after_180(
    record: Record, used_on: tuple[int, ...], asked_on: float, lives: bool
) -> None:
    with record.database.writing() as session:
        token, visitor = came(session, record)
        for day in used_on:
            sign_ins.see(session, visitor, now=record.now + timedelta(days=day))
        asked = record.now + timedelta(days=asked_on)
        assert (sign_ins.visitor_of(session, token, now=asked) is not None) is lives


def test_signing_out_ends_this_session_and_everywhere_all_of_them(record: Record) -> None:
    with record.database.writing() as session:
        here, visitor = came(session, record)
        there, _ = came(session, record)
        link = sign_ins.make_link(session, now=record.now)

        sign_ins.end_session(session, visitor, now=record.now)
        assert sign_ins.visitor_of(session, here, now=record.now) is None
        assert sign_ins.visitor_of(session, there, now=record.now) is not None

        sign_ins.sign_out_everywhere(session, visitor.person_id, now=record.now)
        assert sign_ins.visitor_of(session, there, now=record.now) is None
        with pytest.raises(Refused):
            sign_ins.use_link(session, link, now=record.now)


def test_with_several_adults_the_name_counts_however_it_is_written(record: Record) -> None:
    with record.database.writing() as session:
        passphrases.set_passphrase(session, PHRASE)
        join(session, record, "Mára Lind")
        for name, passphrase in (("mara  lind", HERS), ("Grown-up in charge", PHRASE)):
            token = sign_ins.sign_in_with_passphrase(session, passphrase, name=name, now=record.now)
            found = sign_ins.visitor_of(session, token, now=record.now)
            assert found is not None
            assert folded(found.name) == folded(name)
        with pytest.raises(Refused, match="Enter your name"):
            sign_ins.sign_in_with_passphrase(session, HERS, now=record.now)
        told = set()
        for name, passphrase in (("Mara Lind", PHRASE), ("Nobody", HERS)):
            with pytest.raises(Refused) as refused:
                sign_ins.sign_in_with_passphrase(session, passphrase, name=name, now=record.now)
            told.add(str(refused.value))
        assert len(told) == 1


@pytest.mark.parametrize("name", ["Mara", "Nobody", "Ended"])
def test_a_name_that_is_not_there_takes_the_work_of_a_wrong_passphrase(
    record: Record, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    with record.database.writing() as session:
        passphrases.set_passphrase(session, PHRASE)
        join(session, record, "Mara")
        join(session, record, "Ended")
        ended = people.named(session, "Ended")
        assert ended is not None
        people.end(session, record.adult, ended.id, now=record.now)
        verified: list[str] = []
        whole = PasswordHasher.verify

        def noted(hasher: PasswordHasher, kept: str, typed: str) -> bool:
            verified.append(kept)
            return whole(hasher, kept, typed)

        monkeypatch.setattr(PasswordHasher, "verify", noted)
        with pytest.raises(Refused, match="do not fit"):
            sign_ins.sign_in_with_passphrase(session, "wrong", name=name, now=record.now)
    (kept,) = verified
    assert kept.startswith("$argon2id$v=19$m=19456,t=2,p=1$")


def test_changing_the_passphrase_asks_for_the_present_one_and_ends_other_sessions(
    record: Record,
) -> None:
    with record.database.writing() as session:
        there, _ = came(session, record)
        here, visitor = came(session, record)
        sign_ins.change_passphrase(session, visitor, "", PHRASE, now=record.now)
        assert sign_ins.visitor_of(session, there, now=record.now) is None
        assert sign_ins.visitor_of(session, here, now=record.now) is not None
        with pytest.raises(sign_ins.NotTheirs):
            sign_ins.change_passphrase(session, visitor, "not this one", HERS, now=record.now)
        with pytest.raises(Refused, match="15 characters"):
            sign_ins.change_passphrase(session, visitor, PHRASE, "short", now=record.now)
        assert sign_ins.sign_in_with_passphrase(session, PHRASE, now=record.now)
        sign_ins.change_passphrase(session, visitor, PHRASE, HERS, now=record.now)
        assert sign_ins.sign_in_with_passphrase(session, HERS, now=record.now)
