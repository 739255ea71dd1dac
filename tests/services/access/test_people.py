"""The adults: roles and tanks that count at once, names, and who can never be let go."""

from collections.abc import Collection
from datetime import timedelta

import pytest
from sqlalchemy.orm import Session

from app.domain.errors import NotFound, Refused
from app.domain.people import Role
from app.services import story
from app.services.access import invitations, people, sign_ins
from app.services.access.people import Adult, Visitor
from app.services.school import devices
from tests.record import ONE_SCOOP, Record
from tests.services.access.test_sign_ins import HERS, came
from tests.web.test_access import add_tank


def invited(
    session: Session, record: Record, role: Role, tank_ids: Collection[int] | None = None
) -> str:
    """The session token of Mara, who came with an invitation."""
    code = invitations.invite(session, record.adult, "Mara", role, tank_ids, now=record.now)
    return invitations.accept(session, code, HERS, now=record.now)


def mara(session: Session, record: Record) -> Adult:
    return next(a for a in people.adults(session, now=record.now) if a.name.startswith("Mara"))


def seen_as(session: Session, token: str, record: Record) -> Visitor:
    found = sign_ins.visitor_of(session, token, now=record.now)
    assert found is not None
    return found


def test_role_and_tanks_count_from_the_next_request(record: Record) -> None:
    pool = add_tank(record, "Pool")
    with record.database.writing() as session:
        token = invited(session, record, Role.TECHNICIAN, [pool])
        her = seen_as(session, token, record)
        assert (her.role, her.tank_ids) == (Role.TECHNICIAN, frozenset({pool}))
        assert not her.sees_pupils
        for role, tanks in ((Role.COORDINATOR, None), (Role.KEEPER, [1, pool])):
            people.set_role(session, record.adult, her.person_id, role, tanks, now=record.now)
            now_ = seen_as(session, token, record)
            assert (now_.role, now_.tank_ids) == (role, tanks and frozenset(tanks))


@pytest.mark.parametrize(
    ("role", "tank_ids"), [(Role.HELPER, None), (Role.STRANGER, None), (Role.KEEPER, [])]
)
def test_a_role_that_no_adult_has_and_no_tank_at_all_are_refused(
    record: Record, role: Role, tank_ids: list[int] | None
) -> None:
    with record.database.writing() as session, pytest.raises(Refused):
        invitations.invite(session, record.adult, "Mara", role, tank_ids, now=record.now)


def test_a_tank_that_is_not_there_is_given_to_nobody(record: Record) -> None:
    with record.database.writing() as session, pytest.raises(NotFound):
        invitations.invite(session, record.adult, "Mara", Role.KEEPER, [1, 77], now=record.now)


def test_the_last_keeper_of_all_tanks_stays(record: Record) -> None:
    first, by, now = record.adult.person_id, record.adult, record.now
    with record.database.writing() as session:
        invited(session, record, Role.KEEPER, [1])
        told = pytest.raises(Refused, match="One keeper of all tanks has to stay")
        with told:
            people.end(session, by, first, now=now)
        with told:
            people.set_role(session, by, first, Role.TECHNICIAN, None, now=now)
        with told:
            people.set_role(session, by, first, Role.KEEPER, [1], now=now)
        her = mara(session, record).person_id
        people.set_role(session, by, her, Role.KEEPER, None, now=record.now)
        people.end(session, by, first, now=record.now)
        # the machine's own link then lets her in
        _, visitor = came(session, record)
        assert visitor.person_id == her


@pytest.mark.parametrize(
    ("role", "tank_ids"), [(Role.TECHNICIAN, None), (Role.COORDINATOR, None), (Role.KEEPER, [1])]
)
def test_only_a_keeper_of_all_tanks_decides_about_people(
    record: Record, role: Role, tank_ids: list[int] | None
) -> None:
    first, now = record.adult.person_id, record.now
    with record.database.writing() as session:
        her = seen_as(session, invited(session, record, role, tank_ids), record)
        told = pytest.raises(Refused, match="Only a keeper of all tanks")
        with told:
            people.set_role(session, her, her.person_id, Role.KEEPER, None, now=now)
        with told:
            people.end(session, her, first, now=now)
        with told:
            invitations.invite(session, her, "Kim", Role.KEEPER, None, now=now)
        with told:
            invitations.invite_again(session, her, first, now=now)


def test_who_ends_is_out_everywhere_and_stays_the_author_of_what_they_wrote(
    record: Record,
) -> None:
    with record.database.writing() as session:
        token = invited(session, record, Role.KEEPER)
        her = seen_as(session, token, record)
        here = devices.unlock(session, her, 1, "by the door", now=record.now)
    wrote = record.stamp()
    record.adult, first = her, record.adult
    record.write(ONE_SCOOP)
    with record.database.writing() as session:
        people.end(session, first, her.person_id, now=record.now)
        assert sign_ins.visitor_of(session, here, now=record.now) is None
        assert "Mara" not in {a.name for a in people.adults(session, now=record.now)}
        assert story.story(session, wrote.tank_id).lines[0].author == "Mara"
        with pytest.raises(Refused):
            sign_ins.sign_in_with_passphrase(session, HERS, name="Mara", now=record.now)
        # who comes back is the same author
        again = invitations.invite(session, first, "mara", Role.TECHNICIAN, [1], now=record.now)
        back = seen_as(session, invitations.accept(session, again, HERS, now=record.now), record)
        assert back.author_id == her.author_id


def test_a_name_is_changed_everywhere_and_is_one_persons_only(record: Record) -> None:
    with record.database.writing() as session:
        invited(session, record, Role.KEEPER)
        her = mara(session, record).person_id
        people.rename(session, record.adult.person_id, "  Jo Reed ")
        for taken in ("jo reed", "JO  REED"):
            with pytest.raises(Refused, match="Jo Reed already"):
                people.rename(session, her, taken)
        with pytest.raises(Refused, match="Enter a name"):
            people.rename(session, her, "  ")
        people.rename(session, record.adult.person_id, "JO REED")
    record.write(ONE_SCOOP)
    with record.database.reading() as session:
        assert story.story(session, 1).lines[0].author == "JO REED"


def test_the_list_tells_where_somebody_is_signed_in_and_since_when_they_were_seen(
    record: Record,
) -> None:
    with record.database.writing() as session:
        invited(session, record, Role.COORDINATOR)
        # the record itself holds one session of the first keeper
        came(session, record, days=1)
        listed = {a.name: a for a in people.adults(session, now=record.now)}
    assert list(listed) == ["Grown-up in charge", "Mara"]
    assert (listed["Mara"].sessions, listed["Mara"].has_passphrase) == (1, True)
    first = listed["Grown-up in charge"]
    assert (first.sessions, first.seen_at) == (2, record.now + timedelta(days=1))
