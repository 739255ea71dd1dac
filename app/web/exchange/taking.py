"""Taking measurements out: every one as a row of a CSV file."""

from flask import Response

from app.services import exchange
from app.web.exchange import bp
from app.web.request import database

# tells a spreadsheet that the file is UTF-8
_MARK = "\ufeff"


@bp.get("/tank/<int:tank_id>/measurements.csv")
def measurements(tank_id: int) -> Response:
    """All measurements of a tank, also of one that was closed."""
    with database().reading() as session:
        rows = _MARK + "".join(exchange.export_csv(session, tank_id))
    name = f"measurements-{tank_id}.csv"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(rows, mimetype="text/csv", headers=headers)
