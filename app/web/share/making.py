"""A link that was just made: its token once, its address, and who can reach it."""

from dataclasses import dataclass
from datetime import date
from typing import Final

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.services.sharing.links import LinkKind
from app.web.form_secret import secret_of_form
from app.web.request import settings

_TITLES: Final = {
    LinkKind.FAMILY: "The family link",
    LinkKind.SITTER: "The sitter’s link",
    LinkKind.CALENDAR: "The calendar’s link",
}
_OPENED_BY: Final = {
    LinkKind.FAMILY: "guest.page",
    LinkKind.SITTER: "guest.page",
    LinkKind.CALENDAR: "guest.calendar",
}
_HERE: Final = frozenset({"localhost", "127.0.0.1", "[::1]"})


@dataclass(frozen=True, slots=True, kw_only=True)
class MadePage:
    """The address of a new link, shown this once; `stay_url` leads on to a sitter's papers."""

    tank_id: int
    title: str
    address: str
    last_day: date | None
    only_here: bool
    stay_url: str


def link_token(form_token: str) -> str:
    """The token of the link that a form makes: with the form sent twice it is the same one."""
    return secret_of_form("link", form_token)


def only_here() -> bool:
    """Whether nobody but this machine itself reaches the program."""
    return not set(settings().trusted_hosts) - _HERE


def made_page(
    tank_id: int, kind: LinkKind, token: str, last_day: date | None, *, stay_url: str = ""
) -> ResponseReturnValue:
    """The page that shows a new link's address, this once."""
    page = MadePage(
        tank_id=tank_id,
        title=_TITLES[kind],
        address=request.url_root.rstrip("/") + url_for(_OPENED_BY[kind], token=token),
        last_day=last_day,
        only_here=only_here(),
        stay_url=stay_url,
    )
    return render_template("share/made.html", page=page)
