"""Sealed guesses: an adult opens a round, each tile guesses once, the test opens all of them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Self

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms import SelectField, StringField
from wtforms.validators import Optional

from app.domain.calendar import wall_time
from app.domain.errors import Refused
from app.domain.guard import Blank, Taken, check
from app.domain.prediction import Round
from app.domain.quantities import FACTS, Quantity
from app.knowledge.load import load
from app.services.ahead import predictions as service
from app.services.ahead.predictions_shown import (
    RecordShown,
    RoundShown,
    records_shown,
    round_shown,
)
from app.services.school.tiles import Hands
from app.web.ahead import bp
from app.web.fields import ChoiceField, MomentField, PageForm
from app.web.request import database, id_arg, now, visitor
from app.web.writing.desk import Desk, at_desk
from app.web.writing.saving import shown
from app.web.writing.stamped import tiles_for

_TEST, _TIME = "test", "time"


class RoundForm(PageForm):
    """What is guessed, and until when."""

    quantity = SelectField("What is guessed")
    until = ChoiceField(
        "Guesses are taken until",
        noun="until when guesses are taken",
        choices={_TEST: "the next test of it is written", _TIME: "a time, or the test before it"},
        default=_TEST,
    )
    picked = MomentField("Day and time", [Optional()], description="Only for a time.")

    @classmethod
    def at(cls, desk: Desk) -> Self:
        """The form, with what can be guessed at this tank."""
        form = cls()
        form.quantity.choices = {q.value: FACTS[q].label for q in service.guessable(desk.snapshot)}
        if not form.quantity.data and Quantity.NITRATE.value in form.quantity.choices:
            form.quantity.data = Quantity.NITRATE.value
        return form

    def closes_at(self, desk: Desk) -> datetime | None:
        """The time that was picked, None for the test; with a sentence beside a time of no use."""
        if self.until.data != _TIME:
            return None
        if self.picked.data is None:
            if not self.picked.errors:
                self.complain("picked", "Pick the day and the time.")
            return None
        try:
            moment = wall_time(self.picked.data, desk.site.zone)
        except ValueError as error:
            self.complain("picked", str(error))
            return None
        if moment <= desk.now:
            self.complain("picked", "Choose a time that is still to come.")
        return moment


class GuessForm(PageForm):
    """The guess of one tile, in the unit of the round."""

    hands = ChoiceField("Your tile", noun="your tile")
    guess = StringField("Your guess")

    @classmethod
    def at(cls, desk: Desk, played: Round) -> Self:
        """The form; when it is opened, with the tiles that have not guessed yet."""
        form = cls()
        if form.is_submitted():
            form.offer(tiles_for(desk.tiles, desk.visitor))
        else:
            form.offer(_left(desk, played))
        form.guess.label.text = f"Your guess: {FACTS[played.quantity].label}"
        return form

    def offer(self, tiles: Sequence[Hands]) -> None:
        """Offer these tiles."""
        self.hands.choices = {str(tile.author_id): tile.name for tile in tiles}

    def value(self, played: Round) -> float | None:
        """The guess in the kept unit, or None with a sentence beside the field."""
        self.validate()
        verdict = check(self.text("guess"), played.quantity, played.unit, sample=True)
        if isinstance(verdict, Blank):
            self.complain("guess", "Write your guess as a number.")
        elif not isinstance(verdict, Taken):
            self.complain("guess", verdict.message)
        elif not self.errors:
            return verdict.middle
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundsPage:
    """All rounds, the form for one more, and how the ways to guess did so far."""

    desk: Desk
    form: RoundForm
    rounds: tuple[RoundShown, ...]
    records: tuple[RecordShown, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundPage:
    """One round. `form` is None once it is closed, or where every tile has guessed.

    `undo_url` takes the guess back that was just written, "" where there is none. `names` are the
    tiles that guessed, for the adult.
    """

    desk: Desk
    round: RoundShown
    form: GuessForm | None
    undo_url: str
    names: tuple[str, ...]


@bp.route("/tank/<int:tank_id>/ahead/predictions", methods=["GET", "POST"])
def predictions(tank_id: int) -> ResponseReturnValue:
    """All rounds of a tank; an adult opens one more."""
    desk = at_desk(tank_id)
    form = RoundForm.at(desk)
    opened = _opened(desk, form) if form.is_submitted() else None
    if opened is not None:
        return redirect(url_for("ahead.predict", tank_id=tank_id, round_id=opened), 303)
    with database().reading() as session:
        found = service.rounds(session, tank_id)
    site, knowledge = desk.snapshot.site, load()
    page = RoundsPage(
        desk=desk,
        form=form,
        rounds=tuple(round_shown(each, site, knowledge, now=desk.now) for each in found),
        records=records_shown(found, knowledge),
    )
    return render_template("ahead/predictions.html", page=page), shown(form)


@bp.route("/tank/<int:tank_id>/ahead/predictions/<int:round_id>", methods=["GET", "POST"])
def predict(tank_id: int, round_id: int) -> ResponseReturnValue:
    """One round: guess while it is open, see what came when it was measured."""
    desk = at_desk(tank_id)
    with database().reading() as session:
        played = service.one(session, tank_id, round_id)
    form = GuessForm.at(desk, played)
    written = _written(desk, form, played) if form.is_submitted() else None
    if written is not None:
        flash("Your guess is sealed. Nobody sees it before the test.", "saved")
        here = url_for("ahead.predict", tank_id=tank_id, round_id=round_id, sealed=written)
        return redirect(here, 303)
    form.offer(_left(desk, played))
    page_round = round_shown(played, desk.snapshot.site, load(), now=desk.now)
    page = RoundPage(
        desk=desk,
        round=page_round,
        form=form if page_round.is_open and form.hands.choices else None,
        undo_url=_undo_url(desk, played) if page_round.is_open else "",
        names=page_round.names if desk.visitor.is_adult else (),
    )
    status = shown(form) if page.form is not None else 200
    return render_template("ahead/round.html", page=page), status


@bp.post("/tank/<int:tank_id>/ahead/predictions/<int:round_id>/guesses/<int:guess_id>/take-back")
def take_guess_back(tank_id: int, round_id: int, guess_id: int) -> ResponseReturnValue:
    """Take a guess out of an open round."""
    with database().writing() as session:
        was_there = service.take_back(
            session, tank_id, round_id, guess_id, is_adult=visitor().is_adult, now=now()
        )
    if was_there:
        flash("The guess is taken back. The tile can guess again.", "saved")
    else:
        flash("There is no such guess. It may be taken back already.", "not-saved")
    return redirect(url_for("ahead.predict", tank_id=tank_id, round_id=round_id), 303)


@bp.post("/tank/<int:tank_id>/ahead/predictions/<int:round_id>/call-off")
def call_round_off(tank_id: int, round_id: int) -> ResponseReturnValue:
    """End a round without a test."""
    with database().writing() as session:
        service.call_off(session, tank_id, round_id, now=now())
    flash("The round is called off. Its guesses stay sealed.", "saved")
    return redirect(url_for("ahead.predictions", tank_id=tank_id), 303)


def _opened(desk: Desk, form: RoundForm) -> int | None:
    """The round that the form opened, or None with sentences beside the fields."""
    if not form.quantity.choices:
        return None
    form.validate()
    closes_at = form.closes_at(desk)
    if form.errors:
        return None
    try:
        with database().writing() as session:
            return service.open_round(
                session,
                desk.tank_id,
                Quantity(form.quantity.data),
                closes_at=closes_at,
                author_id=desk.visitor.author_id,
                token=form.once,
                now=desk.now,
            )
    except Refused as refused:
        form.complain("quantity", str(refused))
        return None


def _written(desk: Desk, form: GuessForm, played: Round) -> int | None:
    """The guess that the form sealed, or None with sentences beside the fields."""
    value = form.value(played)
    if value is None:
        return None
    try:
        with database().writing() as session:
            return service.write_guess(
                session,
                desk.tank_id,
                played.id,
                value,
                form.text("guess"),
                author_id=int(form.hands.data),
                token=form.once,
                now=desk.now,
            )
    except Refused as refused:
        form.complain("guess", str(refused))
        return None


def _undo_url(desk: Desk, played: Round) -> str:
    """Where the guess is taken back that the address says was just sealed."""
    sealed = id_arg("sealed")
    if not any(g.id == sealed for g in played.guesses):
        return ""
    return url_for(
        "ahead.take_guess_back", tank_id=desk.tank_id, round_id=played.id, guess_id=sealed
    )


def _left(desk: Desk, played: Round) -> list[Hands]:
    """The tiles that have not guessed yet."""
    done = {guess.author_id for guess in played.guesses}
    return [t for t in tiles_for(desk.tiles, desk.visitor) if t.author_id not in done]
