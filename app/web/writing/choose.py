"""The ways in to Write down."""

from flask import render_template, url_for
from flask.typing import ResponseReturnValue

from app.domain.quantities import FACTS
from app.services.ahead import predictions
from app.web.request import database, now, visitor
from app.web.rights import may_open
from app.web.writing import bp
from app.web.writing.desk import at_desk

Door = tuple[str, str, str]


def doors_for(tank_id: int) -> tuple[Door, ...]:
    """The doors as (icon, label, address)."""
    doors = [
        ("feed", "Feed", "writing.feed"),
        ("look", "Look and count", "writing.look"),
        ("test", "Test water", "writing.test"),
        ("change", "Water change", "writing.change"),
        ("odd", "Something odd", "writing.odd"),
        ("job", "Other job", "writing.job"),
    ]
    return tuple((icon, label, url_for(name, tank_id=tank_id)) for icon, label, name in doors)


@bp.get("/tank/<int:tank_id>/write-down")
def choose(tank_id: int) -> ResponseReturnValue:
    """Show the doors, and what can be guessed; adults find the one for animals here too."""
    at_desk(tank_id)
    with database().reading() as session:
        rounds = predictions.open_rounds(session, tank_id, now=now())
    return render_template(
        "writing/choose.html",
        doors=doors_for(tank_id),
        guesses=tuple(
            (FACTS[r.quantity].label, url_for("ahead.predict", tank_id=tank_id, round_id=r.id))
            for r in rounds
            if may_open("ahead.predict")
        ),
        adult=visitor().is_adult,
        tank_id=tank_id,
    )
