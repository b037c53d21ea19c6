"""A sound description with something changed gives a year or one clear line, whatever was changed."""

from __future__ import annotations

import json
from copy import deepcopy
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from retrofit_desk.exchange.house_file import parse_house
from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.services.described_house import run_described
from retrofit_desk.services.year_words import described_data, described_lines, house_data, house_lines
from retrofit_desk.values.errors import DeskError

EXAMPLES = Path(__file__).parents[2] / "assets" / "example_houses"
SOUND = {name: json.loads((EXAMPLES / f"{name}.json").read_text()) for name in ("one_room", "two_storeys")}

Way = tuple[str | int, ...]


def ways(part: Any, way: Way = ()) -> list[Way]:
    """The path of everything in a description."""
    inner = part.items() if isinstance(part, dict) else enumerate(part) if isinstance(part, list) else ()
    return [way, *(one for key, value in inner for one in ways(value, (*way, key)))]


WAYS = {name: ways(house)[1:] for name, house in SOUND.items()}
STRANGE = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-5, 5),
    st.sampled_from([0.0, -1.0, 1e-300, 1e-9, 1e-3, 0.5, 1.0, 45.0, 180.0, 1e3, 1e6, 1e9, 1e308, 10**400]),
    st.floats(allow_nan=True, allow_infinity=True),
    st.text(max_size=6),
    st.sampled_from(["room", "attic", "wall", "outdoors", "zone", "adiabatic", "\ud800", "a\nb", "", "gas"]),
    st.just([]),
    st.just({}),
    st.lists(st.floats(0, 50), max_size=3),
    st.just({"kind": "adiabatic"}),
    st.just({"hours": [20.0] * 24}),
    st.just({"hours": [None] * 24}),
)


@st.composite
def broken(draw: st.DrawFn, name: str) -> dict[str, Any]:
    """One to three changes: a value put, taken out, scaled, added, or doubled."""
    house = deepcopy(SOUND[name])
    for _ in range(draw(st.integers(1, 3))):
        way = draw(st.sampled_from(WAYS[name]))
        try:
            place = house
            for step in way[:-1]:
                place = place[step]
            old = place[way[-1]]
        except (KeyError, IndexError, TypeError):
            continue  # an earlier change took it away
        match draw(st.sampled_from(["put", "take", "scale", "add", "double"])):
            case "put":
                place[way[-1]] = deepcopy(draw(STRANGE))
            case "take":
                del place[way[-1]]
            case "scale" if isinstance(old, float | int):
                place[way[-1]] = old * draw(st.sampled_from([-1.0, 0.0, 1e-12, 1e-6, 1e-2, 1e2, 1e4, 1e6]))
            case "add" if isinstance(old, dict):
                old[draw(st.sampled_from(["colour", "kind", "name", "films", "area_m2"]))] = deepcopy(
                    draw(STRANGE)
                )
            case "double" if isinstance(place, list):
                place.append(deepcopy(old))
    return house


def told(text: str, *, run: bool) -> str:
    """The words for a person; for a refusal, its one line."""
    try:
        house = parse_house(text, where="house.json")
        json.dumps(house_data(house), allow_nan=False)
        lines = house_lines(house)
        if run:
            with np.errstate(all="ignore"):
                found = run_described(house, greensboro())
                json.dumps(described_data(found, hourly=False), allow_nan=False)
            lines = described_lines(found)
        return "\n".join(lines)
    except DeskError as error:
        return error.line()


def is_clear(line: str) -> bool:
    """One line, no trace of the program's inside, and it can be printed; or the words of a sound house."""
    one_line = "\n" not in line or line.count("the description is sound") + line.count("one year by the hour")
    return bool(line and one_line and line.encode("utf-8") and "Traceback" not in line)


ANY_TIME = {"deadline": None, "suppress_health_check": list(HealthCheck), "derandomize": True}


@pytest.mark.parametrize("name", SOUND)
def test_the_sound_descriptions_run(name: str) -> None:
    assert "one year by the hour" in told(json.dumps(SOUND[name]), run=True)


@given(st.one_of(broken("one_room"), broken("two_storeys")))
@settings(max_examples=400, **ANY_TIME)
def test_a_changed_description_is_sound_or_refused_in_one_line(house: dict[str, Any]) -> None:
    assert is_clear(told(json.dumps(house), run=False))


@given(broken("one_room"))
@settings(max_examples=25, **ANY_TIME)
def test_a_changed_room_gives_a_year_or_one_line(house: dict[str, Any]) -> None:
    assert is_clear(told(json.dumps(house), run=True))


@given(broken("two_storeys"))
@settings(max_examples=8, **ANY_TIME)
def test_a_changed_house_with_plant_gives_a_year_or_one_line(house: dict[str, Any]) -> None:
    assert is_clear(told(json.dumps(house), run=True))


@given(st.text(max_size=40))
@settings(max_examples=100, **ANY_TIME)
def test_any_text_is_one_line(text: str) -> None:
    assert is_clear(told(text, run=False))
