"""What the templates of the adults and their devices get."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from flask import request, url_for

from app.domain import wording
from app.services.access import invitations
from app.services.access.people import Adult
from app.services.school.devices import Device
from app.web.access.forms import (
    ROLE_WORDS,
    InviteForm,
    JoinForm,
    NameForm,
    NewPassphraseForm,
    RightsForm,
)

_LOOPBACK = ("localhost", "127.0.0.1")


@dataclass(frozen=True, slots=True, kw_only=True)
class AdultRow:
    """An adult in the list. `seen` is a day, None for never; `invited_until` too."""

    person_id: int
    name: str
    role: str
    tanks: str
    seen: date | None
    sessions: str
    is_there: bool
    has_passphrase: bool
    invited_until: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PeoplePage:
    """All adults, and the form for one more; `me` is who looks."""

    adults: tuple[AdultRow, ...]
    form: InviteForm
    may_change: bool
    me: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonPage:
    """One adult with what they may do."""

    row: AdultRow
    form: RightsForm
    is_me: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class InvitationPage:
    """An invitation as it is handed on: link and code, told this once, and its last day.

    `only_here` says that the address is that of this computer for itself.
    """

    name: str
    code: str
    link: str
    typed_at: str
    last_day: date
    only_here: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinPage:
    """Where the code of an invitation becomes a passphrase; `name` where the code is known."""

    form: JoinForm
    name: str
    refused: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MePage:
    """What an adult sets about themselves; `idle_days` without use sign a browser out."""

    row: AdultRow
    idle_days: int
    name: NameForm
    passphrase: NewPassphraseForm


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceRow:
    """A device that is unlocked for a class, with the days of unlocking and of last use."""

    device_id: int
    name: str
    class_name: str
    unlocked_by: str
    unlocked_on: date
    seen_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class DevicesPage:
    """The devices that are unlocked now."""

    devices: tuple[DeviceRow, ...]


def adult_row(adult: Adult, tank_names: Mapping[int, str]) -> AdultRow:
    """An adult in words; tanks whose name is not given are counted."""
    return AdultRow(
        person_id=adult.person_id,
        name=adult.name,
        role=ROLE_WORDS[adult.role].partition(":")[0],
        tanks=_tanks_said(adult.tank_ids, tank_names),
        seen=adult.seen_at.date() if adult.seen_at else None,
        sessions=wording.count(adult.sessions, "browser", "browsers"),
        is_there=adult.is_there,
        has_passphrase=adult.has_passphrase,
        invited_until=adult.invited_until.date() if adult.invited_until else None,
    )


def _tanks_said(tank_ids: frozenset[int] | None, names: Mapping[int, str]) -> str:
    if tank_ids is None:
        return "All tanks"
    known = sorted((names[i] for i in tank_ids if i in names), key=str.casefold)
    others = len(tank_ids) - len(known)
    return wording.listed([*known, *([f"{others} more"] if others else [])])


def invitation_page(name: str, code: str, *, now: datetime) -> InvitationPage:
    """A new invitation, with addresses as this browser reaches this computer."""
    return InvitationPage(
        name=name,
        code=code,
        link=url_for("access.join_with", code=code, _external=True),
        typed_at=url_for("access.join", _external=True),
        last_day=(now + invitations.LIFE).date(),
        only_here=request.host.partition(":")[0] in _LOOPBACK,
    )


def device_row(device: Device) -> DeviceRow:
    """A device in words."""
    return DeviceRow(
        device_id=device.session_id,
        name=device.name,
        class_name=device.class_name,
        unlocked_by=device.unlocked_by,
        unlocked_on=device.unlocked_at.date(),
        seen_on=device.seen_at.date(),
    )
