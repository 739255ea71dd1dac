"""What the words mean, and every number the app works with."""

from flask import Blueprint

bp = Blueprint("words", __name__)

from app.web.words import views  # noqa: E402, F401  # the views hang themselves on `bp`
