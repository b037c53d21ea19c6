"""A house file as JSON Schema: each key with meaning, unit, range and what a missing one means."""

from __future__ import annotations

import json
from typing import Any

from retrofit_desk.physics.description import House

Json = dict[str, Any]

UNITS = {
    "_w_m2k": "W/m2K", "_w_mk": "W/mK", "_m2k_w": "m2K/W", "_j_kgk": "J/kgK", "_j_m3k": "J/m3K",
    "_j_k": "J/K", "_kg_m3": "kg/m3", "_w_m2": "W/m2", "_w_k": "W/K", "_m3_s": "m3/s", "_m2_s": "m2/s",
    "_kg_s": "kg/s", "_kg_h": "kg/h", "_kwh_per_year": "kWh a year", "_km_per_year": "km a year",
    "_kwh_per_km": "kWh/km", "kwh_per_km": "kWh/km", "kg_per_kwh": "kg/kWh",
    "litre_per_kwh": "liters/kWh", "_l_per_day": "liters a day", "_changes_per_h": "1/h",
    "_loads_per_year": "a year", "_kg_per_load": "kg", "_rh_percent": "%", "_percent": "%",
    "_deg": "degrees of angle", "_per_m": "1/m", "_per_k": "1/K", "_per_air_k": "1/K",
    "_per_tank_k": "1/K", "_kwh": "kWh", "_m3": "m3", "_m2": "m2", "_m": "m", "_w": "W", "_k": "K",
    "_c": "degC", "_l": "liters", "_kg": "kg", "_h": "h", "_hours": "clock hours 0 to 23",
    "_years": "years", "_months": "1 to 12",
}  # fmt: skip
UNITS_BY_LENGTH = sorted(UNITS, key=len, reverse=True)
LIMITS = (
    ("minimum", "{:g} or more"),
    ("exclusiveMinimum", "more than {:g}"),
    ("maximum", "{:g} or less"),
    ("exclusiveMaximum", "less than {:g}"),
)


def house_schema() -> str:
    """JSON Schema of the house file, as published in `shared/house.schema.json`."""
    schema = House.model_json_schema()
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    for part in (schema, *schema["$defs"].values()):
        needed = set(part.get("required", ()))
        for key, field in part.get("properties", {}).items():
            field["description"] = _told(key, field, needed=key in needed)
    return json.dumps(schema, indent=1, sort_keys=True) + "\n"


def unit_of(key: str) -> str:
    """The unit that the end of a key's name tells; empty where it is a word, a list of parts or a share."""
    ending = next((one for one in UNITS_BY_LENGTH if key.endswith(one)), None)
    return "" if ending is None else UNITS[ending]


def _told(key: str, field: Json, *, needed: bool) -> str:
    words = field.get("description", "").replace("None:", "null:").replace("None where", "null where") or (
        "which form this is" if key == "kind" else ""
    )
    parts = [f"{words[:1].upper()}{words[1:].rstrip('.')}"]
    if unit := unit_of(key):
        parts.append(f"Unit: {unit}")
    if limits := _range(field):
        parts.append(f"Range: {limits}")
    if needed:
        parts.append("Needed")
    elif "when missing" not in words and "needed" not in words:
        parts.append(f"When missing: {_default(field)}")
    return ". ".join(parts) + "."


def _range(field: Json) -> str:
    numbers = [one for one in (field, *field.get("anyOf", ())) if one.get("type") in ("number", "integer")]
    told = (say.format(one[name]) for one in numbers[:1] for name, say in LIMITS if _matters(one, name))
    return " and ".join(told)


def _matters(number: Json, limit: str) -> bool:
    return limit in number and abs(number[limit]) < 1e9


def _default(field: Json) -> str:
    default = field.get("default")
    if default in ([], ""):
        return "none"
    return json.dumps(default) if not isinstance(default, dict) else "the usual values of its keys"
