"""Water and kit: a new tank, its measures, animals, kits, scoop, care plan and ranges."""

from flask import Blueprint

bp = Blueprint("tank", __name__)

from app.web.tank import animals, kits, measures, plan  # noqa: E402, F401
