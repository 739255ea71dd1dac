"""Every number, list and source that the app works with, for grown-ups."""

from flask import Blueprint

bp = Blueprint("numbers", __name__)

from app.web.numbers import views  # noqa: E402, F401  # the views hang themselves on `bp`
