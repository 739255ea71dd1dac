"""Settings, Programs: a token is made and shown once, listed, and ended."""

import re

import pytest
from flask import Flask

from app.clock import FixedClock
from app.domain.people import Role
from app.services.access import api_tokens
from app.services.access.api_tokens import MOST_OPEN, Scope
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.roles import client_of
from tests.web.test_access import add_tank
from tests.web.visits import fields_of, seen

PAGE = "/settings/programs"


def made(client: CheckedClient, **typed: str) -> tuple[str, dict[str, str]]:
    """A token through the page, and what was sent for it."""
    sent = fields_of(client.get(PAGE).text) | {
        "label": "Hall thermometer", "scope": "readings", "tank": "all",
    } | typed  # fmt: skip
    answer = client.post(PAGE, data=sent)
    found = re.search(r"sillpond-[\w-]{32}", answer.text)
    assert answer.status_code == 200
    assert found, answer.text
    return found[0], sent


def status(client: CheckedClient, token: str, path: str = "/tanks/1") -> int:
    headers = {"Authorization": f"Bearer {token}"}
    return client.get(f"/api/v1{path}", headers=headers).status_code


def test_a_token_works_as_soon_as_it_is_made(adult: CheckedClient) -> None:
    assert "No program comes in" in seen(adult, PAGE)
    token, _ = made(adult)
    assert status(adult, token) == 200
    words = seen(adult, PAGE)
    assert "Hall thermometer" in words
    assert "never" not in words
    assert token not in adult.get(PAGE).text


def test_the_form_sent_twice_makes_one_token(adult: CheckedClient, record: Record) -> None:
    token, sent = made(adult)
    again = adult.post(PAGE, data=sent)
    assert token in again.text
    with record.database.reading() as session:
        assert len(api_tokens.tokens(session, record.adult)) == 1


def test_a_token_for_one_tank(adult: CheckedClient, record: Record) -> None:
    other = add_tank(record, "Pool")
    token, _ = made(adult, tank=str(other))
    assert status(adult, token, f"/tanks/{other}") == 200
    assert status(adult, token) == 404
    assert "Pool" in seen(adult, PAGE)


def test_a_token_is_ended_with_one_tap(adult: CheckedClient) -> None:
    token, _ = made(adult)
    sent = {"csrf_token": fields_of(adult.get(PAGE).text)["csrf_token"]}
    answer = adult.post(f"{PAGE}/1/end", data=sent, follow_redirects=True)
    assert "works no more" in answer.text
    assert "No program comes in" in answer.text
    assert "Ended" in answer.text
    assert status(adult, token) == 401


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"label": " "}, "Enter what the program is called."),
        ({"label": "x" * 81}, "Use 80 letters at most."),
        ({"scope": "everything"}, "Choose what it may do."),
        ({"tank": "4711"}, "Not a valid choice"),
    ],
)
def test_what_cannot_be_comes_back_with_a_sentence(
    adult: CheckedClient, record: Record, typed: dict[str, str], says: str
) -> None:
    sent = fields_of(adult.get(PAGE).text) | {"label": "Hall", "scope": "read", "tank": "all"}
    answer = adult.post(PAGE, data=sent | typed)
    assert answer.status_code == 422
    assert says in answer.text
    with record.database.reading() as session:
        assert api_tokens.tokens(session, record.adult) == ()


def test_there_are_only_so_many(adult: CheckedClient, record: Record) -> None:
    with record.database.writing() as session:
        for number in range(MOST_OPEN):
            api_tokens.make(
                session, record.adult, label="x", scope=Scope.READ, tank_id=None,
                token=f"sillpond-{number}", now=record.now,
            )  # fmt: skip
    sent = fields_of(adult.get(PAGE).text) | {"label": "Hall", "scope": "read", "tank": "all"}
    answer = adult.post(PAGE, data=sent)
    assert answer.status_code == 422
    assert "End one that is not used." in answer.text


def test_who_keeps_some_tanks_sees_their_own_programs_only(
    app: Flask, adult: CheckedClient, record: Record, clock: FixedClock
) -> None:
    other = add_tank(record, "Pool")
    made(adult, label="Of all tanks")
    limited = client_of(Role.KEEPER, app, record, clock, tanks=[1])
    assert "Of all tanks" not in seen(limited, PAGE)
    assert "Pool" not in seen(limited, PAGE)
    sent = {"csrf_token": fields_of(limited.get(PAGE).text)["csrf_token"]}
    assert limited.post(f"{PAGE}/1/end", data=sent).status_code == 404
    token, _ = made(limited, label="Of one")
    assert status(limited, token) == 200
    assert status(limited, token, f"/tanks/{other}") == 404
    assert "Of one" in seen(adult, PAGE)


@pytest.mark.parametrize("role", [Role.HELPER, Role.TECHNICIAN, Role.COORDINATOR])
def test_only_keepers_let_programs_in(
    role: Role, app: Flask, record: Record, clock: FixedClock
) -> None:
    client = client_of(role, app, record, clock)
    assert client.get(PAGE).status_code == 403
