"""Records as each released schema wrote them: what came with a schema is filled with rows.

`write_record(file, revision)` begins with the record of the first schema, upgrades it step by step,
and writes after each step what that schema had room for. The rows are invented; none of them may
change here, for that is how such a record was written.
"""

from pathlib import Path
from typing import Any

from sqlalchemy import Engine, text

from app.storage import schema
from app.storage.engine import sqlite_engine
from tests.storage.first_record import AT, LATER, write_first_record

Rows = tuple[tuple[str, dict[str, Any]], ...]
# what a column of an older row was set to since: table, the row's key, new values
Changes = tuple[tuple[str, str, dict[str, Any]], ...]

CARE: Rows = (
    ("kit_comparison", {"id": 1, "kit_id": 1, "at": AT, "known": 25.0, "read": 10.0,
                        "against": "a standard"}),
    ("supply", {"id": 1, "site_id": 1, "kind": "food", "name": "Flakes", "unit": "g",
                "amount_left": 40.0, "counted_on": "2027-01-03", "kit_id": None, "label_ml": None,
                "label_l": None, "opened_on": "2026-12-01", "expires_on": "2027-12-01"}),
    ("supply", {"id": 2, "site_id": 1, "kind": "reagent", "name": "Bottle 2", "unit": "tests",
                "amount_left": 12.0, "counted_on": "2027-01-03", "kit_id": 1, "label_ml": 5.0,
                "label_l": 0.1, "opened_on": None, "expires_on": None}),
    ("own_species", {"id": 1, "site_id": 1, "scientific_name": "Invented minnow",
                     "common_name": "minnow", "folded": "minnow", "animal_group": "fish",
                     "temperature_low": 18.0, "temperature_high": 24.0, "ph_low": 6.5,
                     "ph_high": 7.5, "gh_low": None, "gh_high": None, "adult_cm": 5.0,
                     "min_group": 6, "position": "middle", "temperament": "peaceful",
                     "source": "a keeper"}),
    ("care_job", {"tank_id": 1, "name": "glass", "every_days": 7, "weekday": 4, "who": "helper"}),
    ("equipment", {"id": 1, "tank_id": 1, "kind": "heater", "name": "Heater", "lot": "H-17",
                   "watts": 100.0, "since": "2026-08-01", "next_check_on": "2027-02-01",
                   "retired_on": None, "note": "left side"}),
    ("plant", {"id": 1, "tank_id": 1, "name": "fern", "folded": "fern", "species": "",
               "amount": "sparse", "floating": False, "removed": False}),
    ("task_mark", {"id": 1, "tank_id": 1, "task_key": "glass", "kind": "later", "at": AT,
                   "until": LATER, "reason": "no time", "author_id": 1, "to_name": "",
                   "severity": 1, "ended_at": None}),
    ("evaluation", {"tank_id": 1, "revision": 41, "version": "old", "evaluated_at": AT,
                    "holds_until": LATER, "state": "steady", "state_line": "calm", "tasks": "[]",
                    "stages": "[]"}),
    ("stock_batch", {"id": 1, "group_id": 1, "label": "B-204", "source": "the shop"}),
    ("treatment", {"entry_id": 2, "product": "Invented drops", "label_ml": 5.0, "label_l": 50.0,
                   "volume_l": 80.0, "amount_ml": 8.0, "carbon_out": True,
                   "until": "2027-01-20"}),
)  # fmt: skip
SINCE_CARE: Changes = (
    ("site", "id = 1", {"elevation_m": 420.0}),
    ("kit", "id = 1", {"lot": "K-3", "next_check_on": "2027-03-01"}),
    ("stock_group", "id = 1", {"species": "Trigonostigma heteromorpha"}),
    ("tank", "id = 1", {"form": "bow_front", "bow_cm": 6.0, "set_point_c": 25.0, "cover": "closed",
                        "sun_from": "10:00", "sun_until": "11:30", "coldest_room_c": 14.0,
                        "adult": "Ms Reed", "adult_phone": "555 0100",
                        "food_protein_percent": 45.0}),
    ("stock_event", "entry_id = 5", {"batch_id": 1, "length_cm": 2.5, "apart_days": 14,
                                     "hidden": True}),
    ("feeding", "entry_id = 1", {"left_over": False, "minutes_to_eat": 2.0}),
    ("observation", "entry_id = 4", {"algae": 2}),
    ("job", "entry_id = 2", {"media_share": 0.5, "plant_id": 1, "step": "rinse"}),
)  # fmt: skip
FORECASTS: Rows = (
    ("forecast", {"id": 1, "tank_id": 1, "quantity": "nitrate", "entry_id": 6, "revision": 41,
                  "made_at": AT, "about_at": LATER, "low": 8.0, "best": 12.0, "high": 20.0,
                  "factor": 1.2, "last": 10.0, "model": "nitrate", "version": "old",
                  "inputs": "{}"}),
    ("prediction_round", {"id": 1, "tank_id": 1, "quantity": "nitrate", "unit": "mg/L",
                          "basis": "as nitrate", "opened_at": AT, "opened_by_id": 1,
                          "closes_at": LATER, "ended_at": None, "token": "round", "last": 10.0,
                          "forecast_id": 1}),
    ("prediction", {"id": 1, "round_id": 1, "author_id": 2, "value": 15.0, "typed": "15",
                    "at": AT, "token": "guess"}),
)  # fmt: skip
SHARING: Rows = (
    ("target_template", {"id": 1, "name": "Soft water"}),
    ("template_range", {"template_id": 1, "quantity": "ph", "low": 6.0, "high": 7.0}),
    ("contact", {"id": 1, "entry_id": 2, "other_tank_id": 1, "what": "net", "way": "also"}),
    ("site_setback", {"id": 1, "site_id": 1, "weekdays": "56", "starts": "18:00",
                      "ends": "06:00", "room_c": 15.0, "while_away": True}),
    ("paper_text", {"id": 1, "site_id": 1, "tank_id": 1, "name": "policy",
                    "text": "Wash hands."}),
    ("tank_access", {"person_id": 1, "tank_id": 1}),
    ("duty", {"id": 1, "class_id": 1, "day": "2027-01-06", "helper_id": 1, "locked": True,
              "instead_of_id": None}),
    ("helper_away", {"helper_id": 1, "day": "2027-01-07"}),
    ("link", {"id": 1, "kind": "sitter", "token_hash": "s", "tank_id": 1, "label": "Neighbor",
              "first_day": "2027-01-04", "last_day": "2027-01-10", "made_at": AT,
              "made_by_id": 1, "author_id": 2, "ended_at": None, "last_used_on": "2027-01-05"}),
    ("sitter_packet", {"id": 1, "link_id": 1, "number": 1, "day": "2027-01-04", "grams": 0.12,
                       "scoops": None, "entry_id": 1}),
    ("photo", {"id": 1, "tank_id": 1, "entry_id": 4, "taken_at": AT, "added_at": AT,
               "author_id": 2, "token": "photo", "spot": "left", "caption": "the fern",
               "state": "shown", "decided_by_id": 1, "decided_at": LATER, "width": 4,
               "height": 3, "sha256": "0" * 64, "picture": b"\x89PNG\x00", "small": b"\xff\xd8"}),
    ("note_approval", {"entry_id": 4, "shown": True, "by_id": 1, "at": LATER}),
    ("private_note", {"id": 1, "tank_id": 1, "author_id": 1, "written_at": AT,
                      "text": "call the shop"}),
    ("photo_measure", {"entry_id": 5, "photo_id": 1, "ruler_cm": 10.0, "points": "1 2 3 4"}),
)  # fmt: skip
SINCE_SHARING: Changes = (
    ("person", "id = 1", {"all_tanks": False}),
    ("helper", "id = 1", {"on_duty": False}),
    ("equipment", "id = 1", {"failed_on": "2027-01-05"}),
    ("observation", "entry_id = 4", {"is_look": False}),
    ("tank", "id = 1", {"room": "Room 4", "round": "North", "template_id": 1}),
    ("site_break", "id = 1", {"kind": "break", "uid": "u-1"}),
    ("sign_in", "id = 1", {"class_id": 1, "device": "Tablet", "seen_at": AT}),
    ("sign_in_try", "id = 1", {"name_hash": "n", "address_hash": "a"}),
    ("class", "id = 1", {"duty_size": 3, "duty_span": "week"}),
)  # fmt: skip

ADDED: dict[str, tuple[Rows, Changes]] = {
    "0001": ((), ()),
    "0002": (CARE, SINCE_CARE),
    "0003": (FORECASTS, ()),
    "0004": (SHARING, SINCE_SHARING),
}
"""What each released schema had room for beyond the one before it."""


def write_record(file: Path, revision: str) -> Path:
    """Make a database of a released schema with rows in every table that it has."""
    write_first_record(file)
    engine = sqlite_engine(file, foreign_keys=False)
    for step, (rows, changes) in ADDED.items():
        if step > revision:
            break
        schema.upgrade(engine, to=step)
        _fill(engine, rows, changes)
    engine.dispose()
    return file


def _fill(engine: Engine, rows: Rows, changes: Changes) -> None:
    with engine.begin() as connection:
        for table, row in rows:
            names = ", ".join(f'"{name}"' for name in row)
            values = ", ".join(f":{name}" for name in row)
            connection.execute(text(f'INSERT INTO "{table}" ({names}) VALUES ({values})'), row)
        for table, which, values_of in changes:
            news = ", ".join(f'"{name}" = :{name}' for name in values_of)
            connection.execute(text(f'UPDATE "{table}" SET {news} WHERE {which}'), values_of)
    with engine.connect() as connection:
        connection.exec_driver_sql("COMMIT")
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
