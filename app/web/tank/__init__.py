"""Water and kit: a new tank, its measures, kits, scoop, place, people, care plan and ranges."""

from flask import Blueprint

bp = Blueprint("tank", __name__)

from app.web.tank import (  # noqa: E402
    absences,  # noqa: F401
    equipment,  # noqa: F401
    kit,  # noqa: F401
    kits,  # noqa: F401
    measures,  # noqa: F401
    place,  # noqa: F401
    plan,  # noqa: F401
    ranges,  # noqa: F401
    supplies,  # noqa: F401
)
