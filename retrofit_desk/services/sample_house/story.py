"""Reads a sample house's story files and turns each table row into a recorded row."""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import Enum
from pathlib import Path
from typing import Any

from retrofit_desk.records import models
from retrofit_desk.records.models import Base
from retrofit_desk.records.shipped import shipped_folder

SET_UP = "Set up the sample house"
"""Title of the step for files that name no `action` of their own."""
_Row = dict[str, Any]
_MODELS: dict[str, type[Base]] = {
    name: model
    for name in models.__all__
    if isinstance(model := getattr(models, name), type) and issubclass(model, Base)
}
_BY_TABLE = {model.__tablename__: model for model in _MODELS.values() if hasattr(model, "__tablename__")}
_NOT_COLUMNS = {
    *("ref", "about", "paper", "print", "photo", "sheet", "used_for", "facts", "of", "file"),
    *("known_on", "booked_on"),
}


@dataclass
class Told:
    """One row of the story: what is recorded, and what the file says beside the columns."""

    row: Base
    beside: _Row
    action: str
    """Title of the step in which it is recorded."""


@dataclass
class Story:
    """All rows of the story files, with their ids set and their references resolved."""

    told: list[Told] = field(default_factory=list)
    _ids: dict[tuple[str, str], int] = field(default_factory=dict)
    _last: dict[str, int] = field(default_factory=dict)
    _rows: dict[tuple[str, int], Base] = field(default_factory=dict)
    _by_model: dict[type[Base], list[Any]] = field(default_factory=dict)

    def id_of(self, table: str, ref: str) -> int:
        """Id of the row that the files call `ref`. Raises `KeyError`."""
        return self._ids[table, ref]

    def row(self, model: type[Any], row_id: int | None) -> Any:
        """The row of that id, or None for no id."""
        return None if row_id is None else self._rows[model.__tablename__, row_id]

    def rows(self, model: type[Any]) -> list[Any]:
        """Every row of one table, in the order of the files."""
        return self._by_model.get(model, [])

    def add(self, row: Base, action: str = SET_UP) -> None:
        """A row that follows from another one, such as the paper that proves it."""
        table = row.__tablename__
        row.id = self._last[table] = self._last.get(table, 0) + 1
        self._keep(Told(row, {}, action))

    def read(self, files: list[Path]) -> Story:
        """The rows of whole files. Raises as `tell`."""
        return self.tell([tomllib.loads(file.read_text("utf-8")) for file in files])

    def tell(self, tables: list[_Row]) -> Story:
        """Number every row first, so that any row may refer to any other; then build them."""
        numbered = [(one.get("action", SET_UP), list(self._number(one))) for one in tables]
        for action, rows in numbered:
            for model, row, row_id, parent in rows:
                self._build(model, row, row_id, parent, action)
        return self

    def _number(
        self, tables: _Row, parent: _Row | None = None
    ) -> Iterator[tuple[type[Base], _Row, int, Any]]:
        for name, rows in tables.items():
            if name not in _MODELS:
                continue
            table = _MODELS[name].__tablename__
            for row in rows:
                row_id = self._last[table] = self._last.get(table, 0) + 1
                row["id"] = row_id
                if ref := row.get("key") or row.get("ref"):
                    self._ids[table, ref] = row_id
                yield _MODELS[name], row, row_id, parent
                yield from self._number(row, row | {"table": table})

    def _build(self, model: type[Base], row: _Row, row_id: int, parent: _Row | None, action: str) -> None:
        values: _Row = {"id": row_id}
        columns = model.__table__.columns
        if parent is not None:
            values |= self._of_parent(model, row, parent)
        if "about" in row:
            values["subject_id"] = self.id_of(row["subject"], row["about"])
        for key, value in row.items():
            if key in columns:
                values[key] = _typed(columns[key], value)
            elif f"{key}_id" in columns and key not in {"paper"}:
                (foreign,) = columns[f"{key}_id"].foreign_keys
                values[f"{key}_id"] = self.id_of(foreign.column.table.name, value)
            elif key not in _NOT_COLUMNS and key not in _MODELS:
                raise KeyError(f"{model.__name__} has no column {key}")
        if row.get("of"):
            values = material_columns(row["of"], prefix="") | values
        if row.get("framing_material_key"):
            values = material_columns(row["framing_material_key"], prefix="framing_") | values
        built = model(**_plain_defaults(model) | values)
        self._keep(Told(built, {key: row[key] for key in row if key in _NOT_COLUMNS}, action))

    def _keep(self, told: Told) -> None:
        self._rows[told.row.__tablename__, told.row.id] = told.row
        self._by_model.setdefault(type(told.row), []).append(told.row)
        self.told.append(told)

    def _of_parent(self, model: type[Base], row: _Row, parent: _Row) -> _Row:
        """The link to the row that this one stands under, and its place there."""
        values: _Row = {}
        for column in model.__table__.columns:
            is_link = any(key.column.table.name == parent["table"] for key in column.foreign_keys)
            if is_link and column.name.removesuffix("_id") not in row:
                values[column.name] = parent["id"]
                break
        if "position" in model.__table__.columns and "position" not in row:
            values["position"] = parent.setdefault(f"next {model.__name__}", 0)
            parent[f"next {model.__name__}"] += 1
        return values


def _plain_defaults(model: type[Base]) -> _Row:
    """What an insert would put in, there already before it: papers are drawn from the rows."""
    columns = model.__table__.columns
    return {c.name: c.default.arg for c in columns if c.default is not None and c.default.is_scalar}


def _typed(column: Any, value: Any) -> Any:
    enum = getattr(column.type, "enum_class", None)
    return enum(value) if enum is not None and issubclass(enum, Enum) else value


def story_files(folder: Path) -> list[Path]:
    """The story files of a house in the order of their names."""
    return sorted(folder.glob("*.toml"))


def material_columns(key: str, *, prefix: str) -> _Row:
    """Columns of a layer from the table of materials."""
    material = _materials()[key]
    values: _Row = {
        f"{prefix}conductivity_w_mk": float(material["conductivity_w_mk"]),
        f"{prefix}density_kg_m3": float(material["density_kg_m3"]),
        f"{prefix}specific_heat_j_kgk": float(material["specific_heat_j_kgk"]),
    }
    if not prefix:
        values["material_key"] = key
        if material["mu_dry"]:
            values["vapor_resistance_factor"] = float(material["mu_dry"])
    return values


def _materials() -> dict[str, dict[str, str]]:
    with (shipped_folder("shared") / "materials.csv").open(newline="", encoding="utf-8") as file:
        return {row["key"]: row for row in csv.DictReader(file)}
