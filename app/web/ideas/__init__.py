"""Before buying: what animals and plants would mean, worked out on a copy of the tank."""

from flask import Blueprint

bp = Blueprint("ideas", __name__)

from app.web.ideas import views  # noqa: E402, F401
