"""A described house in and out of its JSON file, and the schema of that file."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from retrofit_desk.physics.description import House
from retrofit_desk.values.errors import DeskError

LAYER_KINDS = {"solid", "massless", "framed"}
GLASS_KINDS = {"panes", "angles", "label"}
BOUNDARY_KINDS = {"outdoors", "fixed_temperature", "slab_on_ground", "basement_ground", "zone", "adiabatic"}
UNION_STEPS = LAYER_KINDS | GLASS_KINDS | BOUNDARY_KINDS | {"overhang", "fin", "float", "Schedule"}


class BadHouse(DeskError):
    """A house file that cannot be used as it is."""


def read_house(path: Path | str) -> House:
    """Read a house; raises `BadHouse` with the path of the key that is wrong, on one line."""
    path = Path(path)
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as cause:
        reason = "there is no such file" if not path.exists() else f"it cannot be read ({cause})"
        raise BadHouse(reason, where=str(path), do="check the path") from cause
    return parse_house(text, where=str(path))


def parse_house(text: str, *, where: str) -> House:
    """A house from JSON text; `where` names its origin in errors."""
    try:
        data = json.loads(text)
    except json.JSONDecodeError as cause:
        raise BadHouse(f"this is not JSON: {cause.msg}", where=f"{where}, line {cause.lineno}") from cause
    try:
        return House.model_validate_json(text)
    except ValidationError as cause:
        raise BadHouse(_sentence(cause, data), where=where, kept="nothing was changed") from cause


def write_house(house: House, path: Path | str) -> None:
    """Write a house so that `read_house` gives an equal one."""
    Path(path).write_text(house.model_dump_json(indent=1, exclude_defaults=False) + "\n", encoding="utf-8")


def house_schema() -> str:
    """JSON Schema of the house file, as published in `shared/house.schema.json`."""
    schema = House.model_json_schema()
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    return json.dumps(schema, indent=1, sort_keys=True) + "\n"


def _sentence(cause: ValidationError, data: Any) -> str:
    fault = max(cause.errors(include_url=False), key=lambda f: len(f["loc"]))
    key = _key(fault["loc"], data)
    return f"{key}: {_words(fault)}" if key else _words(fault)


def _key(steps: tuple[int | str, ...], data: Any) -> str:
    """The path as it stands in the file: steps that only name a choice of forms are left out."""
    at, kept = data, []
    for step in steps:
        if isinstance(step, str) and step in UNION_STEPS and not (isinstance(at, dict) and step in at):
            continue
        kept.append(str(step))
        try:
            at = at[step]
        except (KeyError, IndexError, TypeError):
            at = None
    return ".".join(kept)


def _words(fault: Any) -> str:
    kind, context, given = fault["type"], fault.get("ctx", {}), fault.get("input")
    shown = f", is {given!r}" if isinstance(given, int | float | str) else ""
    plain = {
        "extra_forbidden": "unknown key",
        "missing": "this key is missing",
        "value_error": str(context.get("error", "")),
        "union_tag_not_found": "needs a `kind`",
        "greater_than": f"must be more than {context.get('gt')}{shown}",
        "greater_than_equal": f"must not be below {context.get('ge')}{shown}",
        "less_than": f"must be less than {context.get('lt')}{shown}",
        "less_than_equal": f"must not be above {context.get('le')}{shown}",
        "finite_number": "must be a finite number",
    }
    message = str(fault["msg"])
    return plain.get(kind) or message[:1].lower() + message[1:] + shown
