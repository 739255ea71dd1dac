"""The story of a tank: every entry, with its corrections."""

from flask import Blueprint

bp = Blueprint("story", __name__)

from app.web.story import views  # noqa: E402, F401  # the views hang themselves on `bp`
