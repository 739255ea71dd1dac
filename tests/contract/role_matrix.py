"""Who may open which address and who may save there: tried out, not read from a table.

Run ``python -m tests.contract.role_matrix`` after a page came, went or changed its rights. It asks
for every address of the application in every role and writes what it saw to ``role_matrix.md``,
which people review. A test compares the file with fresh answers.
"""

import sys
import tempfile
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path
from typing import Final

from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import delete, update
from werkzeug.routing import Rule
from werkzeug.test import TestResponse

from app.clock import FixedClock
from app.domain.people import Role
from app.services.access import passphrases
from app.services.sharing import links
from app.services.sharing.links import LinkKind
from app.storage.models.access import SignIn
from app.storage.models.classes import ClassTank
from app.web.guest.manners import form_key
from tests.page_checker import CheckedClient
from tests.record import MONDAY, Record, new_record
from tests.web.conftest import new_app, new_client
from tests.web.every_address import address_of
from tests.web.roles import client_of, invited, unchecked
from tests.web.test_access import add_tank
from tests.web.visits import csrf_of

FILE: Final = Path(__file__).with_name("role_matrix.md")
HEAD: Final = """\
# Who may do what

Every address of the application, asked for in every role. Written by
`python -m tests.contract.role_matrix`; never type here. A test compares it with fresh answers.

*yes*: the page opens, or what is sent is looked at. *–*: refused. The holder of a link has no
sign-in; the column says which kinds of links open an address. *other tank*: what a device of a
class and adults who have one tank only meet at another one; empty where an address is of no tank.
What only programs open, with a token of their own, is refused in all columns.

"""
OWN_TANK: Final = 1
OTHER_TANK: Final = 2
_SIGNED_IN: Final = (Role.HELPER, Role.TECHNICIAN, Role.COORDINATOR, Role.KEEPER)
# where each role finds a form, for the token that all forms carry
_FORMS: Final = {Role.STRANGER: "/join", Role.HELPER: "/device"}
_REFUSALS: Final = ("This page is for the grown-up in charge", "That is not part of your role")
# nothing behind a link, or a form that does not come from its page
_CLOSED: Final = (400, 404)
# the second is for whoever scanned a label; both say the same of a tank that is not there
_NO_TANK: Final = ("There is no such tank.", "This tank is not among yours")
_BEHIND_LINKS: Final = ("/v/", "/calendar/")


@dataclass
class Browser:
    """A client with the token of its forms; `cookie` is put back before each request."""

    client: FlaskClient
    cookie: str
    csrf: str

    def ask(self, method: str, address: str, key: str = "") -> TestResponse:
        """Send a request as a browser of that session would; `key` for the form of a link."""
        self.client.set_cookie("sillpond", self.cookie)
        if method == "GET":
            return self.client.get(address, buffered=True)
        return self.client.post(address, data={"csrf_token": key or self.csrf}, buffered=True)


@dataclass
class House:
    """An application with the tokens of open links, and browsers.

    There is one in each role, of adults with all tanks; one of each signed-in role that has the
    first tank only; and one of somebody who has opened all links.
    """

    app: Flask
    record: Record
    clock: FixedClock
    tokens: dict[str, str] = field(default_factory=dict)
    browsers: dict[Role, Browser] = field(default_factory=dict)
    limited: dict[Role, Browser] = field(default_factory=dict)
    holder: Browser | None = None

    def fill(self) -> None:
        """Let somebody come in each role."""
        for role in Role:
            self.browsers[role] = self.browser(role)
            if role in {Role.TECHNICIAN, Role.COORDINATOR, Role.KEEPER}:
                self.limited[role] = self.with_one_tank(role)
        # the class of the device looks after the first tank only
        self.limited[Role.HELPER] = self.browsers[Role.HELPER]
        checked = new_client(self.app)
        for token in self.tokens.values():
            checked.get(f"/v/{token}")
        self.holder = self._plain(checked, "/join")

    def browser(self, role: Role) -> Browser:
        """A new browser in that role; adults have all tanks."""
        checked = client_of(role, self.app, self.record, self.clock)
        return self._plain(checked, _FORMS.get(role, "/me"))

    def with_one_tank(self, role: Role) -> Browser:
        """A new browser of an adult in that role who has the first tank only."""
        checked = invited(
            role, self.app, self.record, self.clock, name=f"One tank {role}", tanks=[OWN_TANK]
        )
        return self._plain(checked, "/me")

    def _plain(self, checked: CheckedClient, form: str) -> Browser:
        csrf = csrf_of(checked, form)
        cookie = checked.get_cookie("sillpond")
        assert cookie is not None
        return Browser(unchecked(checked), cookie.value, csrf)


def house(folder: Path) -> House:
    """A class's tank and a second one that only keepers and coordinators look after."""
    record, clock = new_record(folder), FixedClock(MONDAY)
    assert record.tank_id == OWN_TANK
    made = House(new_app(folder, clock, record.database), record, clock)
    with record.database.writing() as session:
        passphrases.set_passphrase(session, "eleven pebbles under a fern")
        for kind in LinkKind:
            _, made.tokens[kind.value] = links.make(
                session, OWN_TANK, kind, label="", first_day=MONDAY.date(),
                last_day=MONDAY.date() + timedelta(days=5), made_by_id=record.adult.author_id,
                now=clock.now(),
            )  # fmt: skip
    assert add_tank(record, "Pool") == OTHER_TANK
    _take_from_classes(record, OTHER_TANK)
    made.fill()
    return made


@dataclass(frozen=True)
class Row:
    """One address with one method: what each column says."""

    address: str
    method: str
    cells: tuple[str, ...]


COLUMNS: Final = (
    "address", "method", "stranger", "link", "helper", "technician", "coordinator", "keeper",
    "other tank",
)  # fmt: skip


def rows(folder: Path) -> tuple[Row, ...]:
    """All rows of the table, by address; `folder` takes the record that is made for it."""
    made = house(folder)
    found = []
    for rule in made.app.url_map.iter_rules():
        for method in ("GET", "POST"):
            if method not in (rule.methods or ()):
                continue
            found.append(_row(made, rule, method))
            if method == "POST":
                _open_again(made.record)
    return tuple(sorted(found, key=lambda row: (row.address, row.method)))


def _take_from_classes(record: Record, tank_id: int) -> None:
    with record.database.writing() as session:
        session.execute(delete(ClassTank).where(ClassTank.tank_id == tank_id))
        session.commit()


def _open_again(record: Record) -> None:
    """Undo that a form signed its sender out: the next one is sent by somebody who is there."""
    with record.database.writing() as session:
        session.execute(update(SignIn).values(ended_at=None))
        session.commit()


def _row(made: House, rule: Rule, method: str) -> Row:
    address = address_of(made.app, rule, OWN_TANK)
    by_role = {
        role: _said(browser.ask(method, address), role=role)
        for role, browser in made.browsers.items()
    }
    other = ""
    if "tank_id" in rule.arguments:
        there = address_of(made.app, rule, OTHER_TANK)
        other = _of_other_tank(
            browser.ask(method, there)
            for role, browser in made.limited.items()
            if by_role[role] == "yes"
        )
    cells = (
        by_role[Role.STRANGER],
        _with_links(made, rule, method),
        *(by_role[role] for role in _SIGNED_IN),
        other,
    )
    return Row(rule.rule, method, cells)


def _key(app: Flask, token: str) -> str:
    with app.test_request_context():
        return form_key(token)


def _said(answer: TestResponse, role: Role) -> str:
    if answer.status_code == 401:
        # an address for programs: no session opens it, and no link
        return "–"
    if answer.status_code == 401:  # what programs with a token of their own open
        return "–"
    if answer.request.path.startswith(_BEHIND_LINKS):
        return "–" if answer.status_code in _CLOSED else "yes"
    if role is Role.STRANGER:
        sent_away = answer.status_code == 303 and answer.location == "/"
        not_kept = answer.status_code == 400 and "Not saved yet" in answer.text
        return "–" if sent_away or not_kept or answer.status_code == 403 else "yes"
    refused = answer.status_code == 403 and any(text in answer.text for text in _REFUSALS)
    return "–" if refused else "yes"


def _with_links(made: House, rule: Rule, method: str) -> str:
    """The kinds of links that open the address; or what it says to their holder anyway."""
    holder = made.holder
    assert holder is not None
    if not rule.rule.startswith(_BEHIND_LINKS):
        return _said(holder.ask(method, address_of(made.app, rule, OWN_TANK)), Role.STRANGER)
    answers = {
        kind: holder.ask(
            method, address_of(made.app, rule, OWN_TANK, token), _key(made.app, token)
        ).status_code
        for kind, token in made.tokens.items()
    }
    opening = [kind for kind, status in answers.items() if status != 404]
    return ", ".join(opening) or "–"


def _of_other_tank(answers: Iterable[TestResponse]) -> str:
    """Refused as a tank that is not there, by all; or what one saw instead."""
    seen = {
        "–" if a.status_code == 404 and _is_none(a) else f"opens ({a.status_code})" for a in answers
    }
    return ", ".join(sorted(seen))


def _is_none(answer: TestResponse) -> bool:
    return any(text in answer.text for text in _NO_TANK)


def table(found: Iterable[Row]) -> str:
    """The file: its head and the rows as a table."""
    lines = [COLUMNS, ["---"] * len(COLUMNS)]
    lines += [(f"`{row.address}`", row.method, *row.cells) for row in found]
    return HEAD + "".join(f"| {' | '.join(cells)} |\n" for cells in lines)


def main() -> None:
    """Write the file anew."""
    with tempfile.TemporaryDirectory() as folder:
        FILE.write_text(table(rows(Path(folder))), "utf-8")
    sys.stdout.write(f"{FILE} is written.\n")


if __name__ == "__main__":
    main()
