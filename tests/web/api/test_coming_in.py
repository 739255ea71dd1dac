"""Who may ask: a token that works, for its tanks, for what it may do, and not too often."""

from datetime import timedelta
from itertools import product
from typing import Any

import pytest
from sqlalchemy import select, update

from app.clock import FixedClock
from app.domain.errors import NotFound
from app.domain.people import Role
from app.services.access import api_tokens, invitations, people
from app.services.access.api_tokens import Scope
from app.services.access.rate_limits import Limit
from app.storage.models.access import Person
from app.storage.models.api import ApiToken
from app.storage.models.tank import Tank
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.api.conftest import Caller, MakeCaller, code, warm
from tests.web.test_access import add_tank

MEAL: dict[str, Any] = {"kind": "feeding", "scoops": 1}


def test_without_a_token_nothing_is_told(stranger: CheckedClient) -> None:
    answer = stranger.get("/api/v1/tanks")
    assert code(answer) == (401, "")
    # RFC 6750, section 3: without a token the challenge names no error
    assert answer.headers["WWW-Authenticate"] == 'Bearer realm="sillpond"'


@pytest.mark.parametrize(
    "sent",
    [
        "Bearer sillpond-invented", "Bearer", "Bearer ", "Basic dTpw", "Bearer x y",
        "Bearer sillpond-" + "x" * 5000, "Bearer sillpond-\u00e4",
    ],
)  # fmt: skip
def test_a_token_that_is_none_is_refused(stranger: CheckedClient, sent: str) -> None:
    answer = stranger.get("/api/v1/tanks", headers={"Authorization": sent})
    assert code(answer) == (401, "token")
    assert 'error="invalid_token"' in answer.headers["WWW-Authenticate"]


def test_a_browser_that_is_signed_in_is_no_program(adult: CheckedClient) -> None:
    assert adult.get("/api/v1/tanks").status_code == 401


def test_a_session_beside_the_token_changes_nothing(
    caller: Caller, helper: CheckedClient, record: Record
) -> None:
    """A device of a class reaches its class's tanks only; the token reaches all."""
    add_tank(record, "Pool")
    headers = {"Authorization": f"Bearer {caller.token}"}
    assert helper.get("/api/v1/tanks/2", headers=headers).status_code == 200


def test_no_cookie_is_set_and_no_other_site_may_ask(caller: Caller) -> None:
    answer = caller.get("/tanks", Origin="https://elsewhere.example")
    assert "Set-Cookie" not in answer.headers
    assert not [name for name, _ in answer.headers if name.startswith("Access-Control")]
    sent = caller.ask(
        "POST", "/tanks/1/readings", json={"readings": [warm(24)]},
        headers={"Sec-Fetch-Site": "cross-site"},
    )  # fmt: skip
    assert code(sent) == (403, "")


def test_only_the_hash_of_a_token_is_kept(caller: Caller, record: Record) -> None:
    with record.database.reading() as session:
        row = session.scalars(select(ApiToken)).one()
        kept = {name: str(value) for name, value in vars(row).items()}
    assert caller.token.startswith("sillpond-")
    assert not [name for name, text in kept.items() if caller.token[9:] in text]


@pytest.mark.parametrize(
    ("scope", "measures", "writes"),
    [(Scope.READ, 403, 403), (Scope.READINGS, 201, 403), (Scope.ENTRIES, 201, 201)],
)
def test_a_token_does_what_its_scope_says(
    caller_of: MakeCaller, scope: Scope, measures: int, writes: int
) -> None:
    caller = caller_of(scope)
    assert caller.get("/tanks/1").status_code == 200
    assert caller.measure(warm(24)).status_code == measures
    answer = caller.write(**MEAL)
    assert answer.status_code == writes
    if writes == 403:
        assert code(answer) == (403, "scope")
        assert 'error="insufficient_scope"' in answer.headers["WWW-Authenticate"]


def test_each_scope_covers_those_before_it() -> None:
    order = list(Scope)
    for one, other in product(order, order):
        assert one.covers(other) is (order.index(one) >= order.index(other))


def test_a_token_of_one_tank_sees_no_other(caller_of: MakeCaller, record: Record) -> None:
    other = add_tank(record, "Pool")
    caller = caller_of(tank_id=other)
    assert [tank["name"] for tank in caller.shown("/tanks")["tanks"]] == ["Pool"]
    hidden, absent = caller.get("/tanks/1"), caller.get("/tanks/4711")
    assert hidden.status_code == 404
    assert hidden.json == absent.json
    for path in ("/tanks/1/readings", "/tanks/1/entries", "/tanks/1/evaluation"):
        assert caller.get(path).status_code == 404
    assert caller.measure(warm(24)).status_code == 404
    assert caller.write(**MEAL).status_code == 404


def test_an_entry_of_another_tank_is_not_there(caller_of: MakeCaller, record: Record) -> None:
    other = add_tank(record, "Pool")
    entry = caller_of().write(**MEAL).json
    assert entry is not None
    assert caller_of().get(f"/tanks/{other}/entries/{entry['id']}").status_code == 404


def test_a_token_that_was_ended_works_no_more(caller: Caller, record: Record) -> None:
    assert caller.get("/tanks").status_code == 200
    with record.database.writing() as session:
        api_tokens.end(session, record.adult, caller.number, now=record.now)
    assert code(caller.get("/tanks")) == (401, "token")


def technician(record: Record, caller_of: MakeCaller) -> Caller:
    """A program of an adult who has the first tank only."""
    with record.database.writing() as session:
        invitations.invite(session, record.adult, "Sam", Role.TECHNICIAN, [1], now=record.now)
        session.execute(update(Person).where(Person.name == "Sam").values(ended_at=None))
        session.commit()
        person = session.scalars(select(Person).where(Person.name == "Sam")).one()
        author = people.author_of_person(session, person.id)
        session.commit()
    sam = people.Visitor(
        session_id=0, person_id=person.id, author_id=author, role=Role.TECHNICIAN, name="Sam",
        last_hands_id=None, tank_ids=frozenset({1}),
    )  # fmt: skip
    return caller_of(by=sam)


def test_a_token_reaches_no_further_than_its_maker(record: Record, caller_of: MakeCaller) -> None:
    other = add_tank(record, "Pool")
    caller = technician(record, caller_of)
    assert caller.get("/tanks/1").status_code == 200
    assert caller.get(f"/tanks/{other}").status_code == 404
    maker = people.Visitor(
        session_id=0, person_id=99, author_id=99, role=Role.KEEPER, name="Kim",
        last_hands_id=None, tank_ids=frozenset({1}),
    )  # fmt: skip
    with record.database.writing() as session, pytest.raises(NotFound):
        api_tokens.make(
            session, maker, label="x", scope=Scope.READ, tank_id=other, token="sillpond-x",
            now=record.now,
        )  # fmt: skip


def test_a_token_loses_what_its_maker_loses(record: Record, caller_of: MakeCaller) -> None:
    caller = technician(record, caller_of)
    assert caller.measure(warm(24)).status_code == 201
    with record.database.writing() as session:
        session.execute(update(Person).where(Person.name == "Sam").values(role="coordinator"))
        session.commit()
    assert caller.get("/tanks/1").status_code == 200
    assert code(caller.measure(warm(24.1))) == (403, "scope")
    with record.database.writing() as session:
        sam = session.scalars(select(Person).where(Person.name == "Sam")).one()
        people.end(session, record.adult, sam.id, now=record.now)
    assert code(caller.get("/tanks/1")) == (401, "token")
    with record.database.writing() as session:
        # who is invited again is the same adult, but their programs stay outside
        session.execute(update(Person).where(Person.name == "Sam").values(ended_at=None))
        session.commit()
    assert code(caller.get("/tanks/1")) == (401, "token")


def test_the_day_of_the_last_use_is_kept_and_no_time(caller: Caller, record: Record) -> None:
    caller.get("/tanks")
    with record.database.reading() as session:
        (line,) = api_tokens.tokens(session, record.adult)
    assert line.last_used_on == record.now.date()


def test_who_asks_too_often_waits_for_the_next_minute(
    caller_of: MakeCaller, record: Record, clock: FixedClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(api_tokens, "LIMIT", Limit(most=3, seconds=60))
    caller, other = caller_of(Scope.READ), caller_of(Scope.READ)
    clock.moment = record.now.replace(second=20, microsecond=0)
    for _ in range(3):
        assert caller.get("/tanks/1/entries").status_code == 200
    refused = caller.get("/tanks/1/entries")
    assert code(refused) == (429, "")
    assert refused.headers["Retry-After"] == "40"
    assert other.get("/tanks/1/entries").status_code == 200
    clock.moment += timedelta(seconds=40)
    assert caller.get("/tanks/1/entries").status_code == 200


def test_asking_leaves_the_record_as_it_is(caller: Caller, record: Record) -> None:
    with record.database.reading() as session:
        before = session.scalars(select(Tank.revision)).all()
    caller.get("/tanks/1/entries")
    caller.measure(warm(99))
    with record.database.reading() as session:
        assert session.scalars(select(Tank.revision)).all() == before
