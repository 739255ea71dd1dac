"""Trouble: the board of signs, an emergency change, treatments."""

from flask import Blueprint

bp = Blueprint("trouble", __name__)

from app.web.trouble import treatment, views  # noqa: E402, F401  # they hang themselves on `bp`
