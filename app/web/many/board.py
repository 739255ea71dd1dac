"""All tanks: those that need somebody, the rest as a number, and a way to every one of them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final, Self

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue
from wtforms import Form, SelectField, StringField

from app.domain.calendar import local_day
from app.domain.wording import NBSP, count
from app.rules.model import State
from app.services import board as service
from app.services import tanks
from app.services.board import Board, BoardLine, Wanted, few_tanks
from app.services.tanks import TankLine
from app.web.addresses import Addresses, numbered
from app.web.filters import ago, short_day
from app.web.many import bp
from app.web.request import database, id_from, now, visitor
from app.web.rights import may_open

# rows of a page, so that none passes 60 KB
_ROWS: Final = 40
_LONGEST: Final = 80
_DOORS: Final = (
    ("Technician rounds", "many.rounds"),
    ("Shared with other tanks since a day", "many.trace"),
    ("Equipment of all tanks", "many.equipment"),
    ("Range templates", "many.templates"),
    ("Take the data with you", "exchange.whole"),
)


class BoardForm(Form):
    """Which tanks to show; it stands in the address."""

    place = SelectField("Household or school", validate_choice=False)
    round = SelectField("Technician round", validate_choice=False)
    state = SelectField("State", validate_choice=False)
    room = StringField("Room")
    lot = StringField("Equipment lot", description="As it stands on the heater or filter.")
    batch = StringField("Fish batch", description="The label that came with the animals.")

    @classmethod
    def of(cls, found: Board) -> Self:
        """The form as the address fills it, with what there is to choose from."""
        form = cls(request.args)
        form.place.choices = {"": "All"} | {str(p.site_id): p.site_name for p in found.places}
        rounds = sorted({p.round for p in found.places if p.round}, key=str.casefold)
        form.round.choices = {"": "All"} | {name: name for name in rounds}
        form.state.choices = {"": "All"} | {state.value: state.word for state in State}
        return form


def wanted() -> Wanted:
    """What the address asks for; what cannot be is left out."""
    state = request.args.get("state", "")
    texts = {n: _text(n) for n in ("room", "round", "lot", "batch")}
    return Wanted(
        site_id=id_from(request.args.get("place", "")),
        state=State(state) if state in set(State) else None,
        **texts,
    )


def _text(name: str) -> str:
    return request.args.get(name, "").strip()[:_LONGEST]


@dataclass(frozen=True, slots=True)
class TankRow:
    """One tank in the list: its state, why; in `when` the first thing to do, where, since when."""

    name: str
    url: str
    state: str
    line: str
    when: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TanksPage:
    """Tanks, the one that needs somebody first on top; closed ones as (name, address).

    `others` says how many are not shown. `form` is None where there are few tanks. `before_url`
    and `after_url` lead through a long list.
    """

    tanks: tuple[TankRow, ...]
    heading: str
    may_add: bool
    others: str = ""
    resting: str = ""
    all_url: str = ""
    before_url: str = ""
    after_url: str = ""
    form: Any = None
    doors: tuple[tuple[str, str], ...] = ()
    closed: tuple[tuple[str, str], ...] = ()


@bp.get("/tanks", endpoint="tanks")
def all_tanks() -> ResponseReturnValue:
    """All tanks with state and first task; with none yet, the way to set one up."""
    is_adult, among = visitor().is_adult, visitor().tank_ids
    asked = wanted() if is_adult else Wanted()
    with database().reading() as session:
        seen = service.board(session, now=now(), pupils=not is_adult, among=among, wanted=asked)
        closed = tanks.closed_lines(session, among) if may_open("course.closing") else ()
    service.keep(database(), seen.fresh)
    if is_adult and len(seen.places) > few_tanks():
        page = _many(seen, closed, asked)
    else:
        page = _few(seen, closed, is_adult=is_adult)
    return render_template("many/tanks.html", page=page)


def _few(seen: Board, closed: Iterable[TankLine], *, is_adult: bool) -> TanksPage:
    row, to_tank = _row if is_adult else _row_for_pupils, _tank_addresses()
    return TanksPage(
        tanks=tuple(row(line, to_tank) for line in seen.lines),
        heading="The one that needs somebody first stands on top." if seen.lines else "",
        may_add=may_open("tank.new"),
        doors=_doors() if len(seen.places) > 1 else (),
        closed=_closed(closed),
    )


def _many(seen: Board, closed: Iterable[TankLine], asked: Wanted) -> TanksPage:
    whole = "show" in request.args or asked != Wanted()
    lines = seen.lines if whole else seen.exceptions
    start = min(id_from(request.args.get("start", "")) or 0, max(len(lines) - 1, 0))
    need = count(len(seen.exceptions), "tank needs", "tanks need")
    heading = f"{need} somebody."
    if whole:
        heading = f"{count(len(lines), 'tank', 'tanks')}. {heading}"
    others, to_tank = len(seen.lines) - len(lines), _tank_addresses()
    return TanksPage(
        tanks=tuple(_row(line, to_tank, now()) for line in lines[start : start + _ROWS]),
        heading=heading,
        may_add=may_open("tank.new"),
        others=count(others, "other", "others") if others else "",
        resting=_resting(seen.resting),
        all_url="" if whole else url_for("many.tanks", show="all"),
        before_url=_part(start - _ROWS) if start else "",
        after_url=_part(start + _ROWS) if start + _ROWS < len(lines) else "",
        form=BoardForm.of(seen),
        doors=_doors(),
        closed=_closed(closed),
    )


def _part(start: int) -> str:
    """The address of this list from another place on."""
    values = {**request.args.to_dict(), "start": str(max(start, 0))}
    return url_for("many.tanks", **values)  # type: ignore[arg-type]


def _resting(lines: tuple[BoardLine, ...]) -> str:
    if not lines:
        return ""
    where = ", ".join(sorted({line.place.site_name for line in lines}, key=str.casefold))
    return (
        f"{count(len(lines), 'tank was', 'tanks were')} not looked at where nobody is meant to "
        f"come now: {where}."
    )


def _tank_addresses() -> Addresses:
    return numbered("today.today", "tank_id")


def _row(line: BoardLine, to_tank: Addresses, moment: datetime | None = None) -> TankRow:
    """A tank for adults; with a moment also why, where it stands and since when."""
    why, when = "", [_first(line.outline.first)]
    if moment is not None:
        why = line.outline.reason if line.is_exception else ""
        when += [line.place.site_name, line.place.room, _since(line, moment)]
    return TankRow(
        name=line.place.name,
        url=to_tank(line.tank_id),
        state=line.state.value,
        line=why or line.state_line,
        when=" · ".join(text for text in when if text),
    )


def _first(task: str) -> str:
    return f"First: {task}" if task else ""


def _since(line: BoardLine, moment: datetime) -> str:
    if line.since is None:
        return "never looked at" if line.state is State.DONT_KNOW else "no look yet"
    day = short_day(local_day(line.since, line.place.zone)).replace(" ", NBSP)
    what = "last look" if line.state is State.DONT_KNOW else "since"
    return f"{what} {day}, {ago(line.since, moment)}"


def _row_for_pupils(line: BoardLine, to_tank: Addresses) -> TankRow:
    return TankRow(
        name=line.place.name,
        url=to_tank(line.tank_id),
        state=line.state.value,
        line=line.outline.child_line,
        when=_first(line.outline.child_first),
    )


def _closed(lines: Iterable[TankLine]) -> tuple[tuple[str, str], ...]:
    """Closed tanks are for those who keep them: their record is all there is of them."""
    return tuple((line.name, url_for("course.closing", tank_id=line.id)) for line in lines)


def _doors() -> tuple[tuple[str, str], ...]:
    return tuple((label, url_for(to)) for label, to in _DOORS if may_open(to))
