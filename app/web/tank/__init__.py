"""Water and kit: a new tank, its measures, kits, scoop, place, people, care plan and ranges."""

from flask import Blueprint

bp = Blueprint("tank", __name__)

from app.web.tank import absences, equipment, kits, measures, place, plan, ranges  # noqa: E402, F401
