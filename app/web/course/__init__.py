"""The course of a tank's life: starting it, maturing its filter, closing it."""

from flask import Blueprint

bp = Blueprint("course", __name__)

from app.web.course import closing, maturing, starting  # noqa: E402, F401  # they hang on `bp`
