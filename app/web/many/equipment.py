"""Equipment of all tanks: failures by lot, and every piece by its age."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.domain.calendar import local_day
from app.domain.wording import count
from app.services import equipment_age as service
from app.services.equipment import KIND_WORDS
from app.services.equipment_age import Lot, Piece
from app.web.filters import age, short_day
from app.web.many import bp
from app.web.request import database, id_from, now, visitor
from app.web.where import place_of_page

_ROWS: Final = 60
_LOTS: Final = 60
_LONGEST: Final = 40


@dataclass(frozen=True, slots=True)
class PieceRow:
    """One piece: its words, the tank with its address, since when, its age, how it stands."""

    name: str
    kind: str
    lot: str
    tank: str
    url: str
    since: str
    age: str
    stands: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EquipmentPage:
    """What was asked for, the lots (words and address of each), the pieces, the way on."""

    kind: str
    lot: str
    kinds: dict[str, str]
    lots: tuple[tuple[str, str, tuple[str, ...]], ...]
    lots_left: str
    pieces: tuple[PieceRow, ...]
    found: str
    few: int
    before_url: str
    after_url: str


@bp.get("/equipment")
def equipment() -> ResponseReturnValue:
    """Failures by lot and every piece by age, of a kind or a lot."""
    kind, lot = request.args.get("kind", ""), request.args.get("lot", "").strip()[:_LONGEST]
    kind = kind if kind in KIND_WORDS else ""
    with database().reading() as session:
        found = service.pieces(session, among=visitor().tank_ids, kind=kind, lot=lot)
        today = local_day(now(), place_of_page(session).zone)
    lots = service.lots(found)
    start = min(id_from(request.args.get("start", "")) or 0, max(len(found) - 1, 0))
    page = EquipmentPage(
        kind=kind,
        lot=lot,
        kinds=KIND_WORDS,
        lots=tuple(_lot_row(each) for each in lots[:_LOTS]),
        lots_left=f"{len(lots) - _LOTS} more lots. Choose a kind." if len(lots) > _LOTS else "",
        pieces=tuple(_piece_row(each, today) for each in found[start : start + _ROWS]),
        found=count(len(found), "piece", "pieces"),
        few=service.few_pieces(),
        before_url=_part(kind, lot, start - _ROWS) if start else "",
        after_url=_part(kind, lot, start + _ROWS) if start + _ROWS < len(found) else "",
    )
    return render_template("many/equipment.html", page=page)


def _part(kind: str, lot: str, start: int) -> str:
    return url_for("many.equipment", kind=kind, lot=lot, start=max(start, 0))


def _lot_row(lot: Lot) -> tuple[str, str, tuple[str, ...]]:
    share = "too few to tell"
    if lot.share is not None:
        low, counted, high = (round(100 * part) for part in lot.share)
        share = f"{counted} %, likely {low} to {high} %"
    cells = (KIND_WORDS.get(lot.kind, lot.kind), str(lot.in_use), str(lot.failed), share)
    return lot.lot, url_for("many.equipment", lot=lot.lot), cells


def _piece_row(piece: Piece, today: date) -> PieceRow:
    item, days = piece.item, piece.age_days(today)
    stands = "in use"
    if item.failed_on is not None:
        stands = f"broke {_day(item.failed_on)}"
    elif item.retired_on is not None:
        stands = f"put away {_day(item.retired_on)}"
    return PieceRow(
        name=item.name,
        kind=KIND_WORDS.get(item.kind, item.kind),
        lot=item.lot,
        tank=piece.tank_name,
        url=url_for("tank.equipment", tank_id=piece.tank_id),
        since=_day(item.since) if item.since else "not written",
        age=age(timedelta(days=days)) if days is not None else "not known",
        stands=stands,
    )


def _day(day: date) -> str:
    return f"{short_day(day)} {day.year}"
