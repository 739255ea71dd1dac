"""A record as the first schema wrote it, with a row or more in every table."""

from pathlib import Path
from typing import Any

from sqlalchemy import text

from app.storage import schema
from app.storage.engine import sqlite_engine

AT = "2027-01-04T13:41:00.000000Z"
LATER = "2027-01-05T08:00:00.000000Z"


def _entry(entry_id: int, kind: str, **more: Any) -> dict[str, Any]:
    return {
        "id": entry_id, "tank_id": 1, "kind": kind, "happened_at": AT, "local_day": "2027-01-04",
        "recorded_at": AT, "author_id": 1, "done_by_id": 2, "token": f"token-{entry_id}",
        "digest": "d", "status": "ok", "replaces_id": None, "reason": "",
    } | more  # fmt: skip


ROWS: tuple[tuple[str, dict[str, Any]], ...] = (
    ("person", {"id": 1, "name": "Keeper", "role": "keeper", "passphrase_hash": ""}),
    ("sign_in_try", {"id": 1, "tried_at": AT}),
    ("site", {"id": 1, "name": "Hill School", "zone": "America/New_York",
              "present_weekdays": "01234", "fahrenheit": True, "us_gallons": False,
              "chloramine": "yes"}),
    ("class", {"id": 1, "site_id": 1, "name": "Helpers", "kept_until": None}),
    ("kit", {"id": 1, "site_id": 1, "quantity": "nitrate", "name": "Card", "unit": "mg/L",
             "basis": "as nitrate", "steps": "0 10 25", "opened_on": "2026-10-01",
             "expires_on": "2027-10-01", "retired_on": None}),
    ("site_break", {"id": 1, "site_id": 1, "first_day": "2027-02-15", "last_day": "2027-02-19",
                    "name": "Winter"}),
    ("tank", {"id": 1, "site_id": 1, "name": "Brook", "folded": "brook", "setting": "class",
              "length_cm": 78.0, "width_cm": 34.0, "rim_cm": 42.0, "water_depth_cm": 36.0,
              "sand_front_cm": 5.0, "sand_back_cm": 5.0, "sand_pore_share": 0.4,
              "displacement_l": 2.5, "heater_line_cm": None, "started_on": "2026-08-01",
              "mature_on": None, "closed_on": None, "light_on": "08:00", "light_hours": 8.0,
              "has_heater": True, "revision": 41}),
    ("tap_reading", {"site_id": 1, "quantity": "nitrate", "value": 5.0, "tested_on": None}),
    ("care_plan", {"tank_id": 1, "feed_weekdays": "01234", "portion_scoops": 1.0,
                   "water_change_days": 7, "water_change_percent": 25.0, "test_days": 7,
                   "filter_rinse_days": 30}),
    ("helper", {"id": 1, "class_id": 1, "nickname": "Otter", "left_on": None}),
    ("scoop", {"id": 1, "tank_id": 1, "grams": 0.12, "weighed_at": AT}),
    ("stock_group", {"id": 1, "tank_id": 1, "name": "rasbora", "folded": "rasbora",
                     "band": "middle", "adult_cm": 4.5}),
    ("tank_range", {"tank_id": 1, "quantity": "temperature", "low": 23.0, "high": 26.0,
                    "set_by": "Keeper"}),
    ("author", {"id": 1, "kind": "adult", "name": "Keeper", "person_id": 1, "helper_id": None}),
    ("author", {"id": 2, "kind": "helper", "name": "Otter", "person_id": None, "helper_id": 1}),
    ("entry", _entry(1, "feeding")),
    ("entry", _entry(2, "job")),
    ("entry", _entry(3, "logger")),
    ("entry", _entry(4, "observation")),
    ("entry", _entry(5, "stock_event")),
    ("entry", _entry(6, "water_test", status="withdrawn")),
    ("entry", _entry(7, "withdrawal", happened_at=LATER, recorded_at=LATER)),
    ("entry", _entry(8, "job", happened_at=LATER, recorded_at=LATER, status="corrected")),
    ("entry", _entry(9, "job", happened_at=LATER, recorded_at=LATER, replaces_id=8,
                     reason="misread")),
    ("sign_in", {"id": 1, "token_hash": "h", "kind": "session", "rights": "adult", "person_id": 1,
                 "created_at": AT, "expires_at": LATER, "used_at": None, "ended_at": None,
                 "last_hands_id": 2}),
    ("feeding", {"entry_id": 1, "kind": "feeding", "scoops": 1.0, "grams": 0.12, "scoop_id": 1,
                 "amount_words": ""}),
    ("job", {"entry_id": 2, "kind": "job", "job": "filter_rinse", "liters_out": None,
             "liters_in": None, "treated": None, "new_water_c": None, "rinse": "tank",
             "note": "gently"}),
    *(("job", {"entry_id": entry_id, "kind": "job", "job": "water_change", "liters_out": liters,
               "liters_in": liters, "treated": "yes", "new_water_c": 23.5, "rinse": None,
               "note": ""}) for entry_id, liters in ((8, 200.0), (9, 20.0))),
    ("logger", {"entry_id": 3, "kind": "logger", "file_name": "week.csv", "rows": 1}),
    ("observation", {"entry_id": 4, "kind": "observation", "seen": 10, "expected": 10,
                     "lid_closed": True, "plug_on": None, "breathing_calm": True,
                     "signs": "cloudy", "note": "a little"}),
    ("reading", {"id": 1, "entry_id": 3, "tank_id": 1, "quantity": "temperature", "at": AT,
                 "value": 24.9, "low": None, "high": None, "typed": "24.9", "unit": "°C",
                 "basis": "", "kit_id": None, "reader": "", "in_force": True}),
    ("reading", {"id": 2, "entry_id": 6, "tank_id": 1, "quantity": "nitrate", "at": AT,
                 "value": 10.0, "low": 5.0, "high": 25.0, "typed": "10", "unit": "mg/L",
                 "basis": "as nitrate", "kit_id": 1, "reader": "Otter", "in_force": False}),
    ("stock_event", {"entry_id": 5, "kind": "stock_event", "what": "arrived", "group_id": 1,
                     "count": 10, "note": "from the shop"}),
    ("water_test", {"entry_id": 6, "kind": "water_test", "note": "hurried"}),
    ("withdrawal", {"entry_id": 7, "kind": "withdrawal", "target_id": 6}),
)  # fmt: skip


def write_first_record(file: Path) -> Path:
    """Make a database of the first schema with all of `ROWS` in it."""
    engine = sqlite_engine(file, foreign_keys=False)
    schema.upgrade(engine, to="0001")
    with engine.begin() as connection:
        for table, row in ROWS:
            names = ", ".join(f'"{name}"' for name in row)
            values = ", ".join(f":{name}" for name in row)
            connection.execute(text(f'INSERT INTO "{table}" ({names}) VALUES ({values})'), row)
    with engine.connect() as connection:
        connection.exec_driver_sql("COMMIT")
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    engine.dispose()
    return file
