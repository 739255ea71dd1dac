"""A test session: kit by kit with its steps and the clock, several kits at one time, one entry."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from flask import render_template, request
from flask.typing import ResponseReturnValue
from wtforms import HiddenField

from app.domain import wording
from app.domain.calendar import local_day
from app.domain.kit import Kit
from app.domain.quantities import FACTS, Quantity
from app.knowledge.model import Caution
from app.services import kit_clock, words
from app.services.kit_clock import Begun, Due, KitCard, TimedStep
from app.web.fields import with_fields
from app.web.writing import bp
from app.web.writing.choose import Door, doors_for
from app.web.writing.desk import Desk, at_desk
from app.web.writing.saving import put_down, shown
from app.web.writing.staying import BEGIN, LOOK, Added, come_back
from app.web.writing.test import CAUTIONS, SELDOM, USUAL_ORDER, TestForm, kits_in_use

# the place of a step, as a button sends it
_STEP = re.compile("[0-9]{1,2}")
_NO_STEPS = "No steps are known here for this kit. Follow the sheet in its box."


class SessionForm(TestForm):
    """The test form with the waits that were begun; `keys` are those of the cards."""

    keys: ClassVar[tuple[str, ...]] = ()

    def added(self, desk: Desk) -> Added | None:
        """The wait that a pressed button begins, or one more reader."""
        key, _, step = request.form.get(BEGIN, "").partition(":")
        if key in self.keys and _STEP.fullmatch(step):
            return Added({_begun_name(key): str(Begun(int(step), desk.now))}, place=_place(key))
        if BEGIN in request.form or LOOK in request.form:
            return Added()
        return super().added(desk)

    def begun(self, desk: Desk) -> dict[str, Begun]:
        """The waits that were begun, by card."""
        carried = {key: self.text(_begun_name(key)) for key in self.keys}
        found = {key: kit_clock.begun_from(text, desk.now) for key, text in carried.items()}
        return {key: begun for key, begun in found.items() if begun is not None}

    def is_read(self, quantity: Quantity) -> bool:
        """Whether something was written for a quantity."""
        return bool(self.text(quantity.value))


@dataclass(frozen=True, slots=True, kw_only=True)
class StepShown:
    """A step in words; `button` is what its button sends, "" where it has no wait to begin."""

    text: str
    wait: str
    go_on: str
    done: bool
    runs: bool
    button: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CardShown:
    """A kit with its steps and what is read with it; `place` is where it stands on the page."""

    place: str
    title: str
    kits: str
    notes: tuple[str, ...]
    steps: tuple[StepShown, ...]
    quantities: tuple[Quantity, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DueShown:
    """A kit on the clock: "Next", "go on at 11:21 am", and what to do then."""

    title: str
    word: str
    clock: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionPage:
    """What the page shows; `running` with the next one first."""

    desk: Desk
    form: Any
    clock: str
    running: tuple[DueShown, ...]
    cards: tuple[CardShown, ...]
    has_kits: bool
    cautions: tuple[Caution, ...]
    doors: tuple[Door, ...]


def _begun_name(key: str) -> str:
    return f"begun_{key}"


def _place(key: str) -> str:
    return f"card-{key}"


def _used(desk: Desk) -> dict[Quantity, Kit | None]:
    """By which kit each quantity is read, in the usual order; the warmth always comes first."""
    kits = kits_in_use(desk)
    order = [q for q in USUAL_ORDER + SELDOM if q in kits or q is Quantity.TEMPERATURE]
    return {quantity: kits.get(quantity) for quantity in order}


def _form(desk: Desk, used: Mapping[Quantity, Kit | None]) -> SessionForm:
    keys = tuple(card.key for card in kit_clock.cards(used, {}))
    fields: dict[str, Any] = {_begun_name(key): HiddenField() for key in keys}
    form_class = with_fields(SessionForm, "SessionForm", fields | {"keys": keys})
    return form_class.at(desk)  # type: ignore[no-any-return]  # a class made for this request


def _page(desk: Desk, form: SessionForm, used: Mapping[Quantity, Kit | None]) -> SessionPage:
    cards = kit_clock.cards(used, form.begun(desk))
    read = frozenset(q for q in used if form.is_read(q))
    return SessionPage(
        desk=desk,
        form=form,
        clock=wording.clock(desk.now, desk.site.zone),
        running=_running(kit_clock.on_the_clock(cards, read, desk.now), desk),
        cards=tuple(_card(card, desk) for card in cards),
        has_kits=any(kit is not None for kit in used.values()),
        cautions=words.cautions(CAUTIONS),
        doors=doors_for(desk.tank_id),
    )


def _title(card: KitCard) -> str:
    return wording.listed([FACTS[q].label for q in card.quantities])


def _running(dues: tuple[Due, ...], desk: Desk) -> tuple[DueShown, ...]:
    """The kits on the clock: first those whose time has come, then the next one, then the rest."""
    zone, waiting = desk.site.zone, [due for due in dues if due.at > desk.now]
    shown = []
    for due in dues:
        over = due not in waiting
        clock = wording.exact_clock(due.at, zone)
        shown.append(
            DueShown(
                title=_title(due.card),
                word="Now" if over else "Next" if due is waiting[0] else "Then",
                clock=f"since {clock}" if over else f"go on at {clock}",
                text=due.text,
            )
        )
    return tuple(shown)


def _card(card: KitCard, desk: Desk) -> CardShown:
    today = local_day(desk.now, desk.site.zone)
    past = [kit for kit in card.kits if kit.expires_on is not None and kit.expires_on < today]
    return CardShown(
        place=_place(card.key),
        title=_title(card),
        kits=wording.listed([kit.name for kit in card.kits]),
        notes=(
            card.kind.basis_note if card.kind else _NO_STEPS,
            *(f"{kit.name} is past its date. Its reading counts as doubtful." for kit in past),
        ),
        steps=tuple(_step(card, at, step, desk) for at, step in enumerate(card.steps)),
        quantities=card.quantities,
    )


def _step(card: KitCard, at: int, step: TimedStep, desk: Desk) -> StepShown:
    zone = desk.site.zone
    return StepShown(
        text=step.text,
        wait=wording.short_while(step.wait_s) if step.wait_s else "",
        go_on=wording.exact_clock(step.go_on, zone) if step.go_on else "",
        done=step.done,
        runs=step.runs,
        button=f"{card.key}:{at}" if step.wait_s else "",
    )


@bp.route("/tank/<int:tank_id>/test-session", methods=["GET", "POST"])
def test_session(tank_id: int) -> ResponseReturnValue:
    """Test kit by kit; the waits are carried by the page, and one entry is saved."""
    desk = at_desk(tank_id)
    used = _used(desk)
    form = _form(desk, used)
    if (added := form.added(desk)) is not None:
        return come_back(form, added)
    if form.is_submitted() and (sheet := form.sheet(desk)):
        return put_down(desk, form, sheet)
    return render_template("writing/session.html", page=_page(desk, form, used)), shown(form)
