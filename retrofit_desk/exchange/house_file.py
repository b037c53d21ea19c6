"""A described house in and out of its JSON file."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from retrofit_desk.physics.built_layers import as_layers, built_layers
from retrofit_desk.physics.description import House
from retrofit_desk.physics.errors import ImpossibleValue
from retrofit_desk.physics.films import HeatFlow
from retrofit_desk.physics.layer_parts import TaperedLayerPart
from retrofit_desk.physics.network import glass_conductance_w_m2k
from retrofit_desk.values.errors import CannotSay, DeskError

LAYER_KINDS = {"solid", "massless", "air", "tapered", "framed"}
GLASS_KINDS = {"panes", "angles", "label"}
BOUNDARY_KINDS = {"outdoors", "fixed_temperature", "slab_on_ground", "basement_ground", "zone", "adiabatic"}
PLANT_KINDS = {"burner", "resistance", "heat_pump", "outdoor_air", "ground", "well_water", "in_room", "ducts"}
PLANT_KINDS |= {"water_emitters", "radiant_floors", "solar", "clock", "storage", "instant", "indirect"}
UNION_STEPS = LAYER_KINDS | GLASS_KINDS | BOUNDARY_KINDS | PLANT_KINDS | {"overhang", "fin", "Schedule"}
UNION_STEP = re.compile(r"^(float|constrained-float|function-.*|\w+\[.*\])$")
OWN_PATH = re.compile(r"^[a-z]\w*(\.\w+)*: ")
KEPT = "nothing was changed"
LONGEST_SHOWN = 60
NO_FILM_M2K_W = 0.0


class BadHouse(DeskError):
    """A house file that cannot be used as it is."""


def read_house(path: Path | str) -> House:
    """Read a house; raises `BadHouse` with the path of the key that is wrong, on one line.

    Raises `CannotSay` where a value that matters is not stated.
    """
    path = Path(path)
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as cause:
        reason = "there is no such file" if not path.exists() else f"it cannot be read ({cause})"
        raise BadHouse(reason, where=str(path), do="check the path") from cause
    return parse_house(text, where=str(path))


def parse_house(text: str, *, where: str) -> House:
    """A house from JSON text; `where` names its origin in errors. Raises `BadHouse`, `CannotSay`."""
    data = _loaded(text, where)
    try:
        house = House.model_validate_json(text, strict=True)
    except ValidationError as cause:
        raise BadHouse(_sentence(cause, data), where=where, kept=KEPT) from cause
    _ask_for_what_matters(house, where)
    _try_formulas(house, where)
    return house


def write_house(house: House, path: Path | str) -> None:
    """Write a house so that `read_house` gives an equal one."""
    Path(path).write_text(house.model_dump_json(indent=1, exclude_defaults=False) + "\n", encoding="utf-8")


def _loaded(text: str, where: str) -> Any:
    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(pairs)
        if len(found) < len(pairs):
            names = [name for name, _ in pairs]
            twice = next(name for name in names if names.count(name) > 1)
            raise BadHouse(f"the key {_short(twice)} stands twice in one object", where=where, kept=KEPT)
        return found

    if not text.strip():
        raise BadHouse("the file is empty", where=where, do="start from one of assets/example_houses")
    try:
        return json.loads(text, object_pairs_hook=once)
    except json.JSONDecodeError as cause:
        raise BadHouse(f"this is not JSON: {cause.msg}", where=f"{where}, line {cause.lineno}") from cause
    except (ValueError, RecursionError) as cause:
        raise BadHouse(
            "this is JSON that no house needs (a number too long, or nested too deep)", where=where
        ) from cause


def _try_formulas(house: House, where: str) -> None:
    """Layers and glass that no formula takes, each told with the path of its key. Raises `BadHouse`."""
    for i, construction in enumerate(house.constructions):
        for j, layer in enumerate(construction.layers):
            if not isinstance(layer, TaperedLayerPart):
                with _told(f"constructions.{i}.layers.{j}", where):
                    as_layers((layer,), HeatFlow.HORIZONTAL, NO_FILM_M2K_W)
        with _told(f"constructions.{i}.layers", where):
            built_layers(construction.layers, HeatFlow.HORIZONTAL, NO_FILM_M2K_W, NO_FILM_M2K_W)
    for i, glazing in enumerate(house.glazings):
        with _told(f"glazings.{i}", where):
            glass_conductance_w_m2k(glazing)


@contextmanager
def _told(key: str, where: str) -> Iterator[None]:
    try:
        yield
    except ImpossibleValue as cause:
        named = f"{cause.where}: " if cause.where else ""
        raise BadHouse(f"{key}: {named}{cause.what}", where=where, kept=KEPT, do=cause.do) from cause


def _ask_for_what_matters(house: House, where: str) -> None:
    """Values that no usual one can stand in for. Raises `CannotSay`."""
    tested = set(house.blower_door.zones) if house.blower_door else set()
    if house.blower_door and not tested:
        tested = {z.name for z in house.zones if z.thermostat} or {z.name for z in house.zones}
    for i, zone in enumerate(house.zones):
        if zone.leakage is None and zone.name not in tested:
            needs = f"zones.{i}.leakage (0 air changes where none leaks in) or a blower_door that covers it"
            raise CannotSay(f"how much outdoor air leaks into {zone.name!r}", needs, where=where)
    for i, surface in enumerate(house.surfaces):
        stated, films = surface.model_fields_set, surface.films
        sunny = surface.boundary.kind == "outdoors" and surface.boundary.sun
        filmed = None not in (films.inside_convective_w_m2k, films.outside_convective_w_m2k)
        if "tilt_deg" not in stated and surface.boundary.kind != "outdoors" and not filmed:
            raise CannotSay(f"how {surface.name!r} lies", f"surfaces.{i}.tilt_deg", where=where)
        if "azimuth_deg" not in stated and sunny and 0.0 < surface.tilt_deg < 180.0:
            raise CannotSay(f"the sun on {surface.name!r}", f"surfaces.{i}.azimuth_deg", where=where)
    if house.plant is not None and house.household is None:
        raise CannotSay("what the plant uses", "household (people, hot water, plugs, lights)", where=where)


def _sentence(cause: ValidationError, data: Any) -> str:
    faults = cause.errors(include_url=False)
    told = [one for one in faults if not (one["type"] == "float_type" and isinstance(one["input"], dict))]
    fault = max(told or faults, key=lambda f: len(_steps(f["loc"], data)))
    key, words = _key(fault, data), _words(fault)
    if not key:
        return words
    return f"{key}.{words}" if OWN_PATH.match(words) and fault["type"] == "value_error" else f"{key}: {words}"


def _key(fault: Any, data: Any) -> str:
    steps = _steps(fault["loc"], data)
    if fault["type"] == "missing":  # what is not there is never found, though a form may have its name
        steps = [*_steps(fault["loc"][:-1], data), fault["loc"][-1]]
    return ".".join(_short(step) for step in steps)


def _steps(steps: tuple[int | str, ...], data: Any) -> list[int | str]:
    """The path as it stands in the file: steps that only name a choice of forms are left out."""
    at, kept = data, []
    for step in steps:
        chooses = isinstance(step, str) and (step in UNION_STEPS or UNION_STEP.match(step))
        if chooses and not (isinstance(at, dict) and step in at):
            continue
        kept.append(step)
        try:
            at = at[step]
        except (KeyError, IndexError, TypeError):
            at = None
    return kept


def _words(fault: Any) -> str:
    kind, context, given = fault["type"], fault.get("ctx", {}), fault.get("input")
    shown = f", is {_short(repr(given))}" if isinstance(given, int | float | str) else ""
    plain = {
        "extra_forbidden": "unknown key",
        "missing": "this key is missing",
        "value_error": str(context.get("error", "")),
        "union_tag_not_found": "needs a `kind`",
        "greater_than": f"must be more than {_bound(context, 'gt')}{shown}",
        "greater_than_equal": f"must not be below {_bound(context, 'ge')}{shown}",
        "less_than": f"must be less than {_bound(context, 'lt')}{shown}",
        "less_than_equal": f"must not be above {_bound(context, 'le')}{shown}",
        "too_short": f"needs at least {context.get('min_length')}, has {context.get('actual_length')}",
        "too_long": f"takes at most {context.get('max_length')}, has {context.get('actual_length')}",
        "finite_number": "must be a finite number",
        "float_type": f"must be a number in the unit that ends the key's name{shown}",
        "model_type": f"must be an object{shown}",
        "tuple_type": f"must be a list{shown}",
        "string_pattern_mismatch": "must not hold line breaks or other control characters",
    }
    if kind == "float_type" and isinstance(given, list | tuple):
        return 'must be one number; where the key takes a schedule, {"hours": [24 or 8760 values]}'
    message = str(fault["msg"])
    return plain.get(kind) or message[:1].lower() + message[1:] + shown


def _bound(context: Mapping[str, Any], name: str) -> str:
    """A limit as one would write it: 0, not 0.0."""
    value = context.get(name)
    return f"{value:.12g}" if isinstance(value, int | float) else str(value)


def _short(value: object) -> str:
    """A stranger's text on one line, not too long."""
    text = str(value).encode("utf-8", "replace").decode("utf-8")
    text = "".join(c if c.isprintable() else "?" for c in text)
    return text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 3] + "..."
