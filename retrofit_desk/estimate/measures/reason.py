"""What no house can have: bounds of a measure's facts, by the unit that a fact's name ends in.

They catch a wrong unit or a slipped key, nothing finer. Own judgment, wide of anything that is sold or built.
"""

from __future__ import annotations

from collections.abc import Iterator

from pydantic import BaseModel
from pydantic_core import ErrorDetails, PydanticCustomError

Path = tuple[str | int, ...]

BOUNDS: tuple[tuple[str, float, float], ...] = (
    ("hours", 0.0, 23.0),
    ("_w_m2k", 0.0, 20.0),
    ("_w_mk", 0.0, 400.0),
    ("_m2k_w", 0.0, 50.0),
    ("_w_m2", 0.0, 2e3),
    ("_w_k", 0.0, 500.0),
    ("_kg_m3", 0.0, 2e4),
    ("_j_kgk", 0.0, 2e4),
    ("_m2_s", 0.0, 1e-4),
    ("_m3_s", 0.0, 20.0),
    ("_kg_s", 0.0, 50.0),
    ("charge_kg", 0.0, 100.0),
    ("bore_depth_m", 0.0, 500.0),
    ("thickness_m", 0.0, 2.0),
    ("radius_m", 0.0, 1.0),
    ("shank_m", 0.0, 1.0),
    ("cover_m", 0.0, 1.0),
    ("insulation_below_m", 0.0, 2.0),
    ("_m", -100.0, 100.0),
    ("_m2", 0.0, 1e5),
    ("_m3", 0.0, 1e3),
    ("_l", 0.0, 1e5),
    ("_kwh", -1e6, 1e6),
    ("_w", 0.0, 1e6),
    ("_a", 0.0, 2e3),
    ("_c", -60.0, 150.0),
    ("cop", 0.0, 20.0),
    ("cop_rated", 0.0, 20.0),
    ("cop_at_8c", 0.0, 20.0),
    ("cop_at_minus_8c", 0.0, 20.0),
    ("hspf2", 0.0, 25.0),
    ("seer2", 0.0, 60.0),
)
"""The end of a name, the least and the most, in its unit; the first that fits holds."""


def wrong_fact(path: Path, words: str) -> PydanticCustomError:
    """What is wrong with one fact, where it takes the others to see it."""
    return PydanticCustomError("fact", "{words}", {"words": words, "path": path})


def path_of(trouble: ErrorDetails) -> Path:
    """The fact that a trouble of the model is about; empty where it is about several."""
    told: Path = trouble.get("ctx", {}).get("path", ())
    return trouble["loc"] or told


def check_within_reason(facts: BaseModel) -> None:
    """Raises `wrong_fact` for the first number that no house can have."""
    for path, name, value in _numbers(facts, ()):
        bound = next(((least, most) for end, least, most in BOUNDS if f"_{name}".endswith(end)), None)
        if bound is not None and not bound[0] <= value <= bound[1]:
            side = "more" if value > bound[1] else "less"
            raise wrong_fact(path, f"{side} than any house has: look at the number and its unit")


def _numbers(facts: BaseModel, path: Path) -> Iterator[tuple[Path, str, float]]:
    for name in type(facts).model_fields:
        yield from _of_value((*path, name), name, getattr(facts, name))


def _of_value(path: Path, name: str, value: object) -> Iterator[tuple[Path, str, float]]:
    if isinstance(value, BaseModel):
        yield from _numbers(value, path)
    elif isinstance(value, tuple):
        for at, one in enumerate(value):
            yield from _of_value((*path, at), name, one)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield path, name, float(value)
