"""Bring in readings, looked at first and saved as one entry; take measurements out."""

from flask import Blueprint

bp = Blueprint("exchange", __name__)

from app.web.exchange import sheet, taking, views, whole  # noqa: E402, F401
