"""Plants of a tank: which, how much, what was trimmed, and the light they get."""

from flask import Blueprint

bp = Blueprint("plants", __name__)

from app.web.plants import jobs, views  # noqa: E402, F401
