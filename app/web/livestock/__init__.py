"""Fish and plants: who lives in a tank, what they need, and what became of them."""

from flask import Blueprint

bp = Blueprint("livestock", __name__)

from app.web.livestock import coming, group, groups, overview, species  # noqa: E402, F401
