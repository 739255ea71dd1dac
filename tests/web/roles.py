"""Browsers of people in each role."""

from collections.abc import Sequence

from flask import Flask
from flask.testing import FlaskClient

from app.clock import FixedClock
from app.domain.people import Role
from app.services.access import invitations
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.conftest import new_client, signed_in
from tests.web.visits import csrf_of

WORDS = "nine slow snails at {}"


def client_of(
    role: Role,
    app: Flask,
    record: Record,
    clock: FixedClock,
    *,
    tanks: Sequence[int] | None = None,
) -> CheckedClient:
    """A browser in that role; of an invited adult only with these tanks, None for all."""
    if role is Role.STRANGER:
        return new_client(app)
    if role is Role.HELPER:
        client = signed_in(app, record, clock)
        answer = client.post("/device/hand-over", data={"csrf_token": csrf_of(client, "/device")})
        assert answer.status_code == 303
        return client
    return invited(role, app, record, clock, name=role.value.title(), tanks=tanks)


def invited(
    role: Role,
    app: Flask,
    record: Record,
    clock: FixedClock,
    *,
    name: str,
    tanks: Sequence[int] | None = None,
) -> CheckedClient:
    """The browser of an adult who came with an invitation, through the page for its code."""
    with record.database.writing() as session:
        code = invitations.invite(session, record.adult, name, role, tanks, now=clock.now())
    client = new_client(app)
    data = {"csrf_token": csrf_of(client, "/join"), "code": code, "passphrase": WORDS.format(name)}
    assert client.post("/join", data=data).status_code == 303
    return client


def unchecked(client: CheckedClient) -> FlaskClient:
    """The same browser without the check of its pages, for tests that open very many."""
    cookie = client.get_cookie("sillpond")
    same = FlaskClient(client.application, client.application.response_class)
    if cookie is not None:
        same.set_cookie("sillpond", cookie.value)
    return same
