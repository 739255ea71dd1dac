"""What the words mean."""

from flask import Blueprint

bp = Blueprint("words", __name__)

from app.web.words import views  # noqa: E402, F401  # the views hang themselves on `bp`
