"""Bring in readings, looked at first and saved as one entry; take measurements out."""

from flask import Blueprint

bp = Blueprint("exchange", __name__)

from app.web.exchange import taking, views  # noqa: E402, F401
