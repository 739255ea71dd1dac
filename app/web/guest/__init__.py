"""What people without a name here open: a family's, a sitter's or a calendar's link only.

These pages set no cookie, know no session and lead nowhere into the rest. A link that ended, is
over, has not begun or was invented is answered with one and the same page.
"""

from flask import Blueprint

bp = Blueprint("guest", __name__)

from app.web.guest import calendar, manners, views  # noqa: E402, F401  # they hang themselves on `bp`
