"""How a checker that knows only an address comes in, writes one thing down and lists them."""

import re
from dataclasses import dataclass, field
from urllib.parse import urlsplit

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.security.far import far_client
from tests.security.house import COOKIE, Caller
from tests.web.stories.browsing import Form, Page

_WORDS = re.compile(r"\bblack-box-[\w-]+")
# forms after which somebody is signed out or let go, a link or a tank is closed, a class has ended
_ENDS = re.compile(
    r"/(me/|people|devices?/|access|sign-in|join|classes/\w+/(end|setup)|close$|end$|share/links)"
)


def form_on(client: FlaskClient, page: str, button: str = "Save") -> Form:
    """The form with this button on a page."""
    return Page(client, client.get(page)).form(button)


@dataclass
class Adapter:
    """A served record in which the keeper of the first tank has this name and passphrase."""

    base: str
    name: str
    passphrase: str
    callers: dict[str, Caller] = field(default_factory=dict)

    def add(self, name: str, client: FlaskClient, start: str, *, form: str = "") -> None:
        """Let a browser be one of the callers, with the session that it holds now.

        `form` is a page with a form, whose token the session then holds.
        """
        if form:
            client.get(form)
        cookie = client.get_cookie(COOKIE)
        self.callers[name] = Caller(name, client, start, cookie.value if cookie else "")

    def come_back(self, caller: Caller) -> None:
        """Give a browser the session that it had."""
        caller.client.delete_cookie(COOKIE)
        if caller.cookie:
            caller.client.set_cookie(COOKIE, caller.cookie)

    def ends(self, action: str) -> bool:
        """Whether a form may end what somebody can see; nothing brings that back from outside."""
        return _ENDS.search(urlsplit(action).path) is not None

    def put_back(self) -> None:
        """Nothing can be put back from outside: what was written stays."""

    def try_in(self, passphrase: str) -> TestResponse:
        """Try to come in as the keeper; "" for the right words."""
        return self._come_in(far_client(self.base), passphrase)

    def newcomer(self) -> FlaskClient:
        """A keeper in a session of their own, which may be ended."""
        client = far_client(self.base)
        answer = self._come_in(client, "")
        assert answer.status_code == 303, answer.text
        client.get("/device")  # the token of forms comes into the cookie
        return client

    def _come_in(self, client: FlaskClient, passphrase: str) -> TestResponse:
        form = form_on(client, "/", "Come in")
        form.put("name", self.name)
        form.put("passphrase", passphrase or self.passphrase)
        return client.post(form.action, data=form.pairs())

    def sign_out(self, client: FlaskClient) -> None:
        """End the session of a browser."""
        form = form_on(client, "/device", "Sign out here")
        assert client.post(form.action, data=form.pairs()).status_code == 303

    def write(self, client: FlaskClient, token: str, words: str) -> TestResponse:
        """Write a note down, by a form with this token."""
        form = form_on(client, "/tank/1/note")
        data = {**form.pairs().to_dict(), "token": token, "note": words}
        return client.post(form.action, data=data)

    def written(self) -> list[str]:
        """The notes that were written so, as often as they stand in the notebook."""
        caller, found = self.callers["keeper"], []
        self.come_back(caller)
        address = "/tank/1/notebook"
        while address:
            page = Page(caller.client, caller.client.get(address))
            found += _WORDS.findall(page.words)
            address = next((url for said, url in page.links if said == "Older pages"), "")
        return found
