"""Letters of what is due: to whom, of which tanks, on which days, and what they never say."""

from datetime import date, timedelta

import pytest
from sqlalchemy import select

from app.domain.drafts import NewLook, NewNote, NewStockEvent, NewTest
from app.domain.errors import NotFound, Refused
from app.domain.people import Role
from app.domain.quantities import Quantity
from app.domain.records import StockEventKind
from app.domain.tank import TankFacts, TankShape
from app.services import reminders, tanks
from app.services.access import invitations, people
from app.services.reminders import Due, Letter, Wish
from app.storage.models.livestock import StockGroup
from app.storage.models.reminder import Reminder
from tests.record import ALL_FINE, ONE_SCOOP, Record, reading

EVERY_DAY = frozenset(range(7))


def wish(record: Record, person_id: int | None = None, **said: object) -> None:
    fields = {"email": "ann@example.org", "weekdays": EVERY_DAY, "only_if_due": True} | said
    with record.database.writing() as session:
        reminders.set_wish(session, person_id or record.adult.person_id, Wish(**fields))  # type: ignore[arg-type]


def due(record: Record) -> list[Due]:
    with record.database.without_tile_names.reading() as session:
        return list(reminders.due(session, now=record.now))


def letter(record: Record, tank_ids: frozenset[int] | None = None) -> Letter:
    with record.database.without_tile_names.reading() as session:
        found = reminders.letter(session, tank_ids, now=record.now)
    assert found is not None
    return found


def second_tank(record: Record) -> int:
    shape = TankShape(length_cm=60, width_cm=30, rim_cm=35)
    with record.database.writing() as session:
        return tanks.add_tank(session, TankFacts(name="Reed", shape=shape))


def technician(record: Record, tank_id: int) -> int:
    with record.database.writing() as session:
        code = invitations.invite(
            session, record.adult, "Bo", Role.TECHNICIAN, [tank_id], now=record.now
        )
        invitations.accept(session, code, "four tall willow trees", now=record.now)
        person = people.named(session, "Bo")
    assert person is not None
    return person.id


def test_nobody_gets_a_letter_who_did_not_ask(record: Record) -> None:
    assert due(record) == []


def test_it_tells_the_state_and_what_is_due_with_its_reasons(record: Record) -> None:
    record.write(NewTest(), reading(Quantity.NITRITE, 2.0))
    wish(record)

    (found,) = due(record)

    assert (found.name, found.email, found.day) == (
        "Grown-up in charge", "ann@example.org", date(2027, 2, 8),
    )  # fmt: skip
    text = found.letter.text
    assert text.startswith("Monday 8 February")
    assert "\n\nBrook: Act now." in text
    assert "- Change " in text
    assert "Nitrite is 2" in text
    assert found.letter.subject == f"Sillpond: {found.letter.tasks} things are due"
    assert found.letter.text.count("\n- ") == found.letter.tasks


def test_it_names_nobody_and_quotes_nobody(record: Record) -> None:
    record.write(NewLook(seen=16, note="Otter saw it leap"), by=record.otter)
    record.write(ONE_SCOOP, by=record.otter)
    record.write(ONE_SCOOP, by=record.finch)
    record.write(NewNote(note="quarrel at the tank"))

    text = letter(record).text

    for word in ("Otter", "Finch", "leap", "quarrel", "Grown-up"):
        assert word not in text


def test_a_loss_that_was_not_told_is_not_in_it(record: Record) -> None:
    def said() -> str:
        record.write(ALL_FINE)
        return letter(record).text

    with record.database.reading() as session:
        group = session.scalars(select(StockGroup)).first()
    assert group is not None
    before = said()
    loss = NewStockEvent(what=StockEventKind.DIED, group_id=group.id, count=4, hidden=True)
    record.write(loss)

    assert said() == before


def test_only_tanks_that_the_person_may_open(record: Record) -> None:
    reed = second_tank(record)
    wish(record, technician(record, reed), email="bo@example.org")

    (found,) = due(record)

    assert found.name == "Bo"
    assert "Reed" in found.letter.text
    assert "Brook" not in found.letter.text


def test_a_tank_that_was_closed_is_not_in_it(record: Record) -> None:
    reed = second_tank(record)
    with record.database.writing() as session:
        tanks.close(session, reed, on=date(2027, 2, 8), now=record.now)

    assert "Reed" not in letter(record).text


def test_without_a_tank_there_is_no_letter(record: Record) -> None:
    with record.database.reading() as session:
        assert reminders.letter(session, frozenset(), now=record.now) is None


@pytest.mark.parametrize(("weekdays", "number"), [({0}, 1), ({1, 2, 3, 4, 5, 6}, 0)])
def test_only_on_the_days_of_the_wish(record: Record, weekdays: set[int], number: int) -> None:
    wish(record, weekdays=frozenset(weekdays))

    assert len(due(record)) == number


def test_the_day_is_that_of_the_tank(record: Record) -> None:
    # 10 at night on Sunday in New York is Monday in UTC
    record.now -= timedelta(hours=10, minutes=41)
    wish(record, weekdays=frozenset({6}))

    assert [found.day for found in due(record)] == [date(2027, 2, 7)]


def test_once_a_day(record: Record) -> None:
    wish(record)
    (found,) = due(record)
    with record.database.writing() as session:
        assert reminders.claim(session, found.person_id, found.day) is None

    assert due(record) == []
    with record.database.writing() as session, pytest.raises(Refused):
        reminders.claim(session, found.person_id, found.day)
    record.pass_time(days=1)
    assert len(due(record)) == 1


def test_what_could_not_be_sent_is_tried_again(record: Record) -> None:
    wish(record)
    (found,) = due(record)
    with record.database.writing() as session:
        before = reminders.claim(session, found.person_id, found.day)
        reminders.give_back(session, found.person_id, found.day, before)

    assert len(due(record)) == 1


@pytest.mark.parametrize(("only_if_due", "number"), [(True, 0), (False, 1)])
def test_with_nothing_due_only_where_it_was_wished(
    record: Record, monkeypatch: pytest.MonkeyPatch, only_if_due: bool, number: int
) -> None:
    monkeypatch.setattr(reminders, "_task_lines", lambda *_: iter(()))
    wish(record, only_if_due=only_if_due)

    found = due(record)

    assert len(found) == number
    assert all(each.letter.subject == "Sillpond: nothing is due" for each in found)
    assert "Nothing is due: Brook (" in letter(record).text


def test_who_comes_no_more_gets_no_more(record: Record) -> None:
    bo = technician(record, record.tank_id)
    wish(record, bo)
    with record.database.writing() as session:
        people.end(session, record.adult, bo, now=record.now)

    assert due(record) == []
    with pytest.raises(NotFound):
        wish(record, bo)


def test_ending_it_forgets_the_address(record: Record) -> None:
    wish(record)
    with record.database.writing() as session:
        reminders.end_wish(session, record.adult.person_id)

    with record.database.reading() as session:
        assert session.scalars(select(Reminder)).all() == []


@pytest.mark.parametrize(
    "email",
    [
        "",
        "ann",
        "ann@home",
        "ann@example.org, bo@example.org",
        "Ann <ann@example.org>",
        "ann@example.org\nBcc: bo@example.org",
        "ann@example.org\r\n\r\nBuy this",
        "ann@exämple.org",
        "ann\0@example.org",
        f"{'a' * 65}@example.org",
        f"ann@{'a.' * 130}org",
    ],
)
def test_an_address_is_one_plain_address(record: Record, email: str) -> None:
    with pytest.raises(Refused, match="plain e-mail address"):
        wish(record, email=email)


def test_a_wish_has_a_day(record: Record) -> None:
    with pytest.raises(Refused, match="at least one day"):
        wish(record, weekdays=frozenset())
