"""Lessons from the tank’s own numbers: sheets for pupils, and answers that are printed apart."""

from flask import Blueprint

bp = Blueprint("lessons", __name__)

from app.web.lessons import views  # noqa: E402, F401  # the views hang themselves on `bp`
