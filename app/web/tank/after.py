"""Where a form of the set-up leads when it was saved."""

from typing import Final

from flask import request, url_for

STARTING: Final = {"then": "starting"}
"""What an address carries that was opened from the steps of starting."""


def after_saving(tank_id: int) -> str:
    """Back to the steps of starting where the form was opened from them, else Water and kit."""
    came_from_steps = request.args.get("then") == STARTING["then"]
    return url_for("course.starting" if came_from_steps else "tank.water", tank_id=tank_id)
