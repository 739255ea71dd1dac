"""The board of drawn signs, and what the page of one sign shows."""

from dataclasses import dataclass
from datetime import datetime

from flask import url_for

from app.domain.entry_words import SIGN_WORDS
from app.domain.quantities import Quantity
from app.domain.records import Sign
from app.knowledge.model import Caution
from app.services import sign_help, trouble
from app.services.sign_help import ANIMAL_SIGNS
from app.services.sign_pages import SIGN_PAGES, SignPage
from app.services.trouble import Happening, LastReading
from app.web.writing.desk import Desk

Picture = tuple[str, str, str]

_GEAR = (
    Sign.FILTER_OFF, Sign.FILTER_SLOW, Sign.HEATER_OFF, Sign.POWER_CUT, Sign.LEAK, Sign.TINGLE,
)  # fmt: skip
_OF_WATER = tuple(s for s in Sign if s not in ANIMAL_SIGNS and s not in _GEAR)
_GROUPS = (("The animals", ANIMAL_SIGNS), ("The gear", _GEAR), ("The water", _OF_WATER))
_HELD = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class SignView:
    """The page of one sign; `urgent` signs act first and look after."""

    tank_id: int
    sign: Sign
    label: str
    text: SignPage
    urgent: bool
    warmth: LastReading
    tests: tuple[LastReading, ...]
    lately: tuple[Happening, ...]
    adult: str
    phone: str
    deputy: str
    deputy_phone: str
    cautions: tuple[Caution, ...]
    zone: str
    now: datetime
    is_adult: bool
    write_url: str


def board(tank_id: int) -> tuple[tuple[str, tuple[Picture, ...]], ...]:
    """All signs in groups, each as (name of its picture, words, address)."""
    return tuple(
        (
            title,
            tuple(
                (
                    sign.value,
                    sign_label(sign),
                    url_for("writing.sign", tank_id=tank_id, name=sign.value),
                )
                for sign in signs
            ),
        )
        for title, signs in _GROUPS
    )


def sign_label(sign: Sign) -> str:
    """A sign as the head of its page."""
    said = SIGN_WORDS[sign]
    return said[:1].upper() + said[1:]


def sign_view(desk: Desk, sign: Sign) -> SignView:
    """What the page of a sign shows for this tank."""
    snapshot, tank = desk.snapshot, desk.snapshot.tank
    return SignView(
        tank_id=desk.tank_id,
        sign=sign,
        label=sign_label(sign),
        text=SIGN_PAGES[sign],
        urgent=sign_help.is_urgent(sign),
        warmth=trouble.last_readings(snapshot, (Quantity.TEMPERATURE,))[0],
        tests=trouble.last_readings(snapshot),
        lately=trouble.lately(snapshot, with_hidden=desk.visitor.is_adult)[:_HELD],
        adult=tank.adult,
        phone=tank.adult_phone,
        deputy=tank.deputy,
        deputy_phone=tank.deputy_phone,
        cautions=sign_help.cautions(sign),
        zone=snapshot.site.zone,
        now=desk.now,
        is_adult=desk.visitor.is_adult,
        write_url=url_for("writing.odd", tank_id=desk.tank_id, sign=sign.value)
        if desk.visitor.writes
        else "",
    )
