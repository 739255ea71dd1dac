"""The sheet for a veterinarian: two pages, measured and unknown told apart."""

from dataclasses import dataclass

from flask import render_template
from flask.typing import ResponseReturnValue

from app.domain.tank import Tank
from app.services import vet as service
from app.services.vet import Known, VetSheet
from app.web.papers import bp
from app.web.papers.sheet import Sheet, seen, sheet_of
from app.web.request import database

# how sure a line is: the sign beside its word
_SIGNS = {Known.MEASURED: "●", Known.WRITTEN: "○", Known.ESTIMATED: "≈", Known.UNKNOWN: "?"}


@dataclass(frozen=True, slots=True, kw_only=True)
class VetPage:
    """The sheet with its days, and the signs of its key."""

    sheet: Sheet
    vet: VetSheet
    tank: Tank
    days: int
    sign_days: int
    signs: dict[Known, str]


@bp.get("/tank/<int:tank_id>/trouble/vet")
def vet(tank_id: int) -> ResponseReturnValue:
    """What a veterinarian asks for, on paper."""
    with database().reading() as session:
        snapshot = seen(session, tank_id)
    page = VetPage(
        sheet=sheet_of(snapshot),
        vet=service.vet_sheet(snapshot),
        tank=snapshot.tank,
        days=service.DAYS,
        sign_days=service.SIGN_DAYS,
        signs=_SIGNS,
    )
    return render_template("papers/vet.html", page=page)
