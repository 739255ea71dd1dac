"""An address for each rule of the application, made with values that may not exist."""

import re
from datetime import date
from typing import Any, Final

from flask import Flask
from werkzeug.routing import Rule

NOWHERE: Final = 987_654_321
_TEXTS: Final = {"quantity": "ph", "key": "look", "filename": "icon.svg"}
_DAY: Final = re.compile(r"<day:(\w+)>")
_ANY: Final = re.compile(r"<any\((\w+)[^)]*\):(\w+)>")


def address_of(
    app: Flask, rule: Rule, tank_id: int = 1, token: str = "", row: int = NOWHERE
) -> str:
    """An address of the rule: of that tank and link, of one number for all other rows."""
    values: dict[str, Any] = dict.fromkeys(rule.arguments, row)
    values |= {name: text for name, text in _TEXTS.items() if name in values}
    values |= dict.fromkeys(_DAY.findall(rule.rule), date(2027, 2, 13))
    values |= {name: first for first, name in _ANY.findall(rule.rule)}
    values |= {"tank_id": tank_id} if "tank_id" in values else {}
    values |= {"token": token or "x" * 32} if "token" in values else {}
    return app.url_map.bind("localhost").build(rule.endpoint, values)
