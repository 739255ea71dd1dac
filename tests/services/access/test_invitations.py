"""An invitation lets one person in, once, within a week, and can be taken back."""

import math
from datetime import timedelta

import pytest

from app.domain.errors import NotFound, Refused
from app.domain.people import Role
from app.services.access import invitations, people, sign_ins
from app.services.access.invitations import GROUPS, LETTERS, LETTERS_IN_GROUP
from tests.record import Record
from tests.services.access.test_sign_ins import HERS


def code_of(record: Record, name: str = "Mara") -> str:
    with record.database.writing() as session:
        return invitations.invite(session, record.adult, name, Role.TECHNICIAN, [1], now=record.now)


def accept(record: Record, code: str, passphrase: str = HERS) -> str:
    with record.database.writing() as session:
        return invitations.accept(session, code, passphrase, now=record.now)


def test_a_code_has_more_than_100_bits_and_no_letters_that_look_alike(record: Record) -> None:
    code = code_of(record)
    assert [len(group) for group in code.split("-")] == [LETTERS_IN_GROUP] * GROUPS
    assert set(code) <= set(LETTERS) | {"-"}
    assert not set(LETTERS) & set("ILO01")
    assert math.log2(len(LETTERS)) * GROUPS * LETTERS_IN_GROUP > 100


@pytest.mark.parametrize("written", ["as printed", "as letters", "in small letters", "spaced"])
def test_a_code_is_taken_however_it_is_typed_and_only_once(record: Record, written: str) -> None:
    code = code_of(record)
    typed = {
        "as printed": code,
        "as letters": code.replace("-", ""),
        "in small letters": f" {code.lower()} ",
        "spaced": code.replace("-", " "),
    }[written]
    token = accept(record, typed)
    with record.database.reading() as session:
        found = sign_ins.visitor_of(session, token, now=record.now)
        assert found is not None
        assert (found.name, found.role, found.tank_ids) == ("Mara", Role.TECHNICIAN, frozenset({1}))
    with pytest.raises(NotFound, match="closed"):
        accept(record, code)


@pytest.mark.parametrize(("days", "opens"), [(7, True), (7.001, False)])
def test_it_keeps_a_week(record: Record, days: float, opens: bool) -> None:
    code = code_of(record)
    record.now += timedelta(days=days)
    if opens:
        assert accept(record, code)
    else:
        with pytest.raises(NotFound, match="closed"):
            accept(record, code)
        with record.database.reading() as session:
            assert len(people.adults(session, now=record.now)) == 1


def test_a_passphrase_that_is_none_leaves_the_invitation_open(record: Record) -> None:
    code = code_of(record)
    with pytest.raises(Refused, match="15 characters"):
        accept(record, code, "short")
    assert accept(record, code)


def test_a_taken_back_one_looks_like_one_that_never_was(record: Record) -> None:
    code = code_of(record)
    with record.database.writing() as session:
        her = people.named(session, "Mara")
        assert her is not None
        invitations.take_back(session, record.adult, her.id, now=record.now)
        assert len(people.adults(session, now=record.now)) == 1
    told = set()
    for closed in (code, "ABCDEF-ABCDEF-ABCDEF-ABCDEF", "", "☃"):
        with pytest.raises(NotFound) as refused:
            accept(record, closed)
        told.add(str(refused.value))
    assert len(told) == 1
    # the name is free again
    assert accept(record, code_of(record))


def test_a_name_is_invited_once_and_nobody_who_is_there(record: Record) -> None:
    code_of(record)
    for name in ("mara", "grown-up in charge"):
        with pytest.raises(Refused, match="already"):
            code_of(record, name)


def test_a_new_code_is_the_way_back_from_a_forgotten_passphrase(record: Record) -> None:
    first = code_of(record)
    with record.database.writing() as session:
        her = people.named(session, "Mara")
        assert her is not None
        second = invitations.invite_again(session, record.adult, her.id, now=record.now)
    with pytest.raises(NotFound):
        accept(record, first)
    accept(record, second)
    with record.database.writing() as session:
        third = invitations.invite_again(session, record.adult, her.id, now=record.now)
        # until the new passphrase is chosen, the old one counts
        assert sign_ins.sign_in_with_passphrase(session, HERS, now=record.now)
    accept(record, third, "one more try at the door")
    with record.database.writing() as session, pytest.raises(Refused):
        sign_ins.sign_in_with_passphrase(session, HERS, now=record.now)
