"""Bring in readings: a logger's file is looked at first, and saved as one entry."""

from flask import Blueprint

bp = Blueprint("exchange", __name__)

from app.web.exchange import views  # noqa: E402, F401
