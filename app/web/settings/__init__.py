"""Settings of the household or school: site, breaks, tap water, tiles."""

from flask import Blueprint

bp = Blueprint("settings", __name__)

from app.web.settings import site, tap, tiles  # noqa: E402, F401
