"""The rows of the reference tables: read strictly, each error with its file and line."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from pathlib import Path
from typing import Any, TypeVar

from retrofit_desk.carbon.gases import LeakShares
from retrofit_desk.rules.days_off import Holiday
from retrofit_desk.rules.hazards import HazardKind
from retrofit_desk.rules.permits import ActivityKind, InspectionRule, PermitTemplate
from retrofit_desk.rules.schedule import After, Step, StepKind
from retrofit_desk.rules.site_tests import TestKind
from retrofit_desk.values.dates import WEEKDAYS
from retrofit_desk.values.errors import DeskError
from retrofit_desk.values.origin import Origin

T = TypeVar("T")
E = TypeVar("E", bound=StrEnum)


class TableDamaged(DeskError):
    """A reference table cannot be read as it stands."""


class NotInTable(DeskError):
    """A key that the table does not hold."""


@dataclass(frozen=True)
class LeakRow:
    """Leak shares of one kind of machine, with the spread of the yearly share."""

    kind: str
    shares: LeakShares
    yearly_low: float
    yearly_high: float
    life_years: float
    origin: Origin


@dataclass(frozen=True)
class Lifetime:
    """How long a kind of machine lasts, years; a default to be changed, never a fact about one machine."""

    key: str
    name: str
    years: float
    years_low: float
    years_high: float
    origin: Origin


@dataclass(frozen=True)
class WindowFrame:
    """A kind of window frame, and what is lost along the edge of its glass by glass and spacer."""

    frame: str
    u_value_w_m2k: float
    width_m: float
    psi_uncoated_w_mk: float
    psi_coated_w_mk: float
    psi_uncoated_warm_edge_w_mk: float
    psi_coated_warm_edge_w_mk: float
    origin: Origin


@dataclass(frozen=True)
class Renewal:
    """A part of what a kind of measure is bought as (`own`), or of what usually is bought without it.

    `part` is a row of the table of lives; empty: done once, never bought again. `cost_share` of the price.
    """

    kind: str
    role: str
    part: str
    cost_share: Decimal
    note: str
    origin: Origin


@dataclass(frozen=True)
class HoldNeedTemplate:
    """One need of a hold template, in the words and kinds of `rules.holds`."""

    kind: str
    text: str
    paper_kind: str = ""
    inspection_kind: str = ""
    test_kind: str = ""
    count: int = 1
    equipment: tuple[str, ...] = ()
    """Kinds of machine it looks at; empty: those that the measure brings."""
    with_whom: str = ""


@dataclass(frozen=True)
class HoldTemplate:
    """A hold that a kind of work usually brings; `what` is filled in by the record."""

    key: str
    action: str
    subject: str
    what: str
    measures: tuple[str, ...]
    needs: tuple[HoldNeedTemplate, ...]
    because: str
    caution: str
    by_itself: bool
    """Made as soon as the work begins, without being asked for."""
    origin: Origin


@dataclass(frozen=True)
class UsualScope:
    """Lines that every firm is usually asked for with these kinds of work; `measures` empty: with any."""

    measures: tuple[str, ...]
    lines: tuple[str, ...]
    origin: Origin


@dataclass(frozen=True)
class StepOrder:
    """A step of these measures waits for a step of other ones, where both are planned; keys of templates."""

    before: str
    before_measures: tuple[str, ...]
    step: str
    measures: tuple[str, ...]


@dataclass(frozen=True)
class StepTemplate:
    """One step of the usual order. `measures` empty: whatever is done. `hold`: key of a hold template.

    `with_whom`: of a wait; empty where the table does not say.
    """

    step: Step
    measures: tuple[str, ...]
    hold: str
    with_whom: str
    origin: Origin


@dataclass(frozen=True)
class CloseoutItem:
    """Something that should be on file at the end, and the kinds of paper that answer it."""

    key: str
    label: str
    papers: tuple[str, ...]


@dataclass(frozen=True)
class Row:
    """One row of a table, read strictly; errors name the file and the row."""

    place: str
    fields: dict[str, Any]

    def text(self, name: str) -> str:
        """A field that must be there."""
        value = self.fields.get(name)
        if value is None:
            raise TableDamaged(f"has no '{name}'", where=self.place, do="compare it with the shipped table")
        return str(value)

    def maybe(self, name: str, otherwise: str = "") -> str:
        """A field that may be left out."""
        return str(self.fields.get(name, otherwise))

    def exact(self, name: str) -> Decimal:
        """A number as it stands, to the last digit."""
        try:
            return Decimal(self.text(name))
        except InvalidOperation:
            raise self.wrong(name, "no number", "write it like 0.25") from None

    def choice(self, name: str, kind: type[E]) -> E:
        """One of the words of `kind`."""
        try:
            return kind(self.text(name))
        except ValueError:
            raise self.wrong(name, "not known here", f"use one of {', '.join(kind)}") from None

    def choices(self, name: str, kind: type[E]) -> tuple[E, ...]:
        """Words of `kind`, none where they are left out."""
        return tuple(Row(self.place, {name: word}).choice(name, kind) for word in self.words(name))

    def number(self, name: str) -> float:
        return float(self.exact(name))

    def maybe_number(self, name: str) -> float | None:
        return None if self.fields.get(name) in (None, "") else self.number(name)

    def words(self, name: str) -> tuple[str, ...]:
        """A list of words, empty where it is left out."""
        value = self.fields.get(name, ())
        return tuple(str(one) for one in value) if isinstance(value, list) else ()

    @property
    def origin(self) -> Origin:
        try:
            day = date.fromisoformat(self.text("date"))
        except ValueError:
            raise self.wrong("date", "no date", "write it like 2026-03-14") from None
        return Origin(self.text("source"), self.maybe("edition"), day, self.text("confidence"))

    def wrong(self, name: str, what: str, do: str) -> TableDamaged:
        """What to raise for a field that holds `what` it may not."""
        return TableDamaged(f"'{self.text(name)}' is {what}", where=f"{self.place}, {name}", do=do)


def toml_file(path: Path) -> dict[str, Any]:
    return toml_text(text_of(path), path.name)


def text_of(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")  # some editors put a mark before the first letter
    except UnicodeDecodeError as error:
        raise _unreadable(error, path.name) from error


def toml_text(text: str, place: str) -> dict[str, Any]:
    """What a text holds. `place` is where it stands, for the owner."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _unreadable(error, place) from error


def _unreadable(error: ValueError, place: str) -> TableDamaged:
    return TableDamaged(f"cannot be read: {error}", where=place, do="correct it, or take the file away")


def gas_parts(row: Row) -> tuple[tuple[str, float], ...]:
    """The gases of a blend, each with its share of the mass."""
    pairs = [part.split(":") for part in row.text("parts").split(";")]
    try:
        return tuple((gas, float(share)) for gas, share in pairs)
    except ValueError:
        raise row.wrong("parts", "no list of gases", "write it like r32:0.5;r125:0.5") from None


def permit_template(row: Row) -> PermitTemplate:
    visits = [Row(row.place, one) for one in row.fields.get("inspection", [])]
    idle = row.maybe_number("idle_days")
    return PermitTemplate(
        row.text("key"),
        row.text("permit_kind"),
        row.text("title"),
        None if idle is None else int(idle),
        row.choices("activity", ActivityKind) or tuple(ActivityKind),
        row.maybe("activity_words"),
        tuple(
            InspectionRule(
                one.text("kind"),
                one.text("title"),
                one.words("after"),
                bool(one.fields.get("before_covering", False)),
                bool(one.fields.get("is_final", False)),
                one.words("ready"),
            )
            for one in visits
        ),
        row.maybe("caution"),
        row.origin,
        row.words("measures"),
    )


def hold_template(row: Row) -> HoldTemplate:
    needs = [Row(row.place, one) for one in row.fields.get("need", [])]
    return HoldTemplate(
        row.text("key"),
        row.text("action"),
        row.text("subject"),
        row.text("what"),
        row.words("measures"),
        tuple(
            HoldNeedTemplate(
                one.text("kind"),
                one.text("text"),
                one.maybe("paper_kind"),
                one.maybe("inspection_kind"),
                one.maybe("test_kind"),
                int(one.maybe("count", "1")),
                one.words("equipment"),
                one.maybe("with_whom"),
            )
            for one in needs
        ),
        row.text("because"),
        row.maybe("caution"),
        bool(row.fields.get("by_itself", False)),
        row.origin,
    )


def test_kind_of(row: Row) -> TestKind:
    return TestKind(
        row.text("key"),
        row.text("name"),
        row.text("quantity"),
        row.text("unit"),
        row.maybe_number("low_limit"),
        row.maybe_number("high_limit"),
        row.maybe_number("times_design"),
        row.maybe_number("minutes"),
        row.maybe("medium"),
        row.maybe_number("must_hold_share"),
        row.words("asks_for"),
        row.words("measures"),
        row.maybe("caution"),
        row.origin,
    )


def hazard_of(row: Row) -> HazardKind:
    before = row.maybe_number("built_before")
    return HazardKind(
        row.text("key"),
        row.text("name"),
        None if before is None else int(before),
        row.words("measures"),
        row.text("where"),
        row.text("what_to_do"),
        row.text("caution"),
        bool(row.fields.get("stops_work", False)),
        row.text("clearance"),
        row.origin,
    )


def step_template(row: Row, origin: Origin) -> StepTemplate:
    step = Step(
        row.text("key"),
        row.text("title"),
        row.choice("kind", StepKind),
        row.number("days"),
        row.maybe_number("days_low"),
        row.maybe_number("days_high"),
        tuple(After(key) for key in row.words("after")),
    )
    return StepTemplate(step, row.words("measures"), row.maybe("hold"), row.maybe("with_whom"), origin)


def usual_scope(row: Row) -> UsualScope:
    return UsualScope(row.words("measures"), row.words("lines"), row.origin)


def holiday_of(row: Row) -> Holiday:
    day, weekday = row.maybe_number("day"), row.maybe("weekday")
    return Holiday(
        row.text("name"),
        int(row.number("month")),
        None if day is None else int(day),
        WEEKDAYS.index(weekday) if weekday in WEEKDAYS else None,
        int(row.maybe_number("nth") or 1),
        row.text("off") == "offices",
    )


def named(rows: tuple[T, ...], field: str, key: str, table: str) -> T:
    for row in rows:
        if getattr(row, field) == key:
            return row
    raise NotInTable(f"no '{key}'", where=table, do="add it to the table or choose another")
