"""Worked-out answers kept in the record, with all that went into them."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import datetime
from typing import Generic, Protocol, TypeVar

from pydantic import TypeAdapter, ValidationError
from sqlalchemy import select

from retrofit_desk import __version__
from retrofit_desk.estimate.fingerprint import Part, changed_since
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.changed_words import tell_in
from retrofit_desk.services.names import names_in
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.quantity import Units


class NothingKept(DeskError):
    """An answer is asked for before there is one."""


class Result(Protocol):
    """What can be kept: a frozen dataclass that says when and from what it was made."""

    @property
    def fingerprint(self) -> str: ...

    @property
    def made_at(self) -> datetime: ...


R = TypeVar("R", bound=Result)
_PARTS: TypeAdapter[tuple[Part, ...]] = TypeAdapter(tuple[Part, ...])


class KeptResults(Generic[R]):
    """The answers of one kind. Those of another program version count as never made."""

    def __init__(self, project: Project, kind: str, shape: type[R]) -> None:
        self._project, self._kind = project, kind
        self._shape: TypeAdapter[R] = TypeAdapter(shape)

    def keep(self, found: R, parts: tuple[Part, ...]) -> None:
        """Keep an answer outside of the history; not in a project open for reading only."""
        if self._project.is_read_only:
            return
        with self._project.outside_history() as work:
            work.session.add(
                m.SavingsResult(
                    kind=self._kind,
                    fingerprint=found.fingerprint,
                    inputs={"parts": _PARTS.dump_python(parts, mode="json")},
                    payload=self._shape.dump_python(found, mode="json"),
                    made_at=found.made_at,
                    program_version=__version__,
                )
            )

    def latest(self) -> R | None:
        """The newest answer; one kept in another shape counts as never made."""
        row = self._row()
        try:
            return None if row is None else self._shape.validate_python(row.payload)
        except ValidationError:
            return None

    def exported(self) -> bytes:
        """The newest answer with all that went in, to be kept in another record. Raises `NothingKept`."""
        row = self._row()
        if row is None:
            raise NothingKept("nothing is worked out yet", do="work it out first")
        return json.dumps({"inputs": row.inputs, "payload": row.payload}, separators=(",", ":")).encode()

    def take(self, content: bytes, parts_now: tuple[Part, ...]) -> bool:
        """Keep an exported answer if exactly the same went in here; False, and nothing kept, otherwise."""
        told = json.loads(content)
        parts = _PARTS.validate_python(told["inputs"]["parts"])
        if [(one.name, one.digest) for one in parts] != [(one.name, one.digest) for one in parts_now]:
            return False
        try:
            found = self._shape.validate_python(told["payload"])
        except ValidationError:
            return False
        self.keep(found, parts)
        return True

    def changed_since(
        self, parts_now: Callable[[], tuple[Part, ...]], units: Units = Units.US
    ) -> tuple[str, ...]:
        """What was changed since the newest answer, in words and these units, or why that cannot be said."""
        row = self._row()
        if row is None:
            return ()
        try:
            now = parts_now()
        except DeskError as error:
            return (error.line(),)
        with self._project.session() as session:
            tell = tell_in(units, names_in(session))
        return changed_since(_PARTS.validate_python(row.inputs["parts"]), now, tell)

    def _row(self) -> m.SavingsResult | None:
        with self._project.session() as session:
            query = select(m.SavingsResult).where(m.SavingsResult.kind == self._kind)
            row = session.scalars(query.order_by(m.SavingsResult.id.desc())).first()
        return row if row is not None and row.program_version == __version__ else None
