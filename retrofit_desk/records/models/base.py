"""The ground every recorded table stands on: naming, column types, and the word beside a value."""

from __future__ import annotations

from datetime import UTC, datetime
from enum import Enum
from typing import Any, ClassVar

from sqlalchemy import JSON, CheckConstraint, Connection, DateTime, Dialect, MetaData, TypeDecorator, event
from sqlalchemy import Enum as EnumType
from sqlalchemy.orm import DeclarativeBase, Mapped, MappedColumn, Mapper, mapped_column

from retrofit_desk.values.stated import Stated, StatedValue

Outline = list[list[float]]
"""A polygon in plan: corners as [x, y] in meters, in order, not closed."""

Facts = dict[str, Any]
"""A JSON object whose keys carry their units; whoever reads it checks it against its own schema."""


class UtcDateTime(TypeDecorator[datetime]):
    """A moment. Goes in with its zone (a naive one is refused), is kept and comes out as UTC."""

    impl = DateTime
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"a moment needs its time zone: {value!r}")
        return value.astimezone(UTC).replace(tzinfo=None)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        return None if value is None else value.replace(tzinfo=UTC)


class Base(DeclarativeBase):
    """One recorded thing with a plain integer id."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(column_0_label)s",
            "uq": "uq_%(table_name)s_%(column_0_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    type_annotation_map: ClassVar[dict[Any, Any]] = {
        datetime: UtcDateTime(),
        # 40 is room for words to come: a longer one must not need a migration
        Enum: EnumType(
            Enum, native_enum=False, length=40, values_callable=lambda words: [w.value for w in words]
        ),
        Outline: JSON(none_as_null=True),
        Facts: JSON(none_as_null=True),
        list[str]: JSON(none_as_null=True),
    }

    in_history: ClassVar[bool] = True
    """False for what can be worked out again or is only a habit of the window: no undo, no history line."""

    id: Mapped[int] = mapped_column(primary_key=True)

    def stated(self, column: str) -> StatedValue[Any]:
        """The value of `column` together with its word. Raises `KeyError` if the column has none."""
        return StatedValue.of(getattr(self, column), getattr(self, self.word_of(column)))

    def set_stated(self, column: str, value: StatedValue[Any]) -> None:
        """Set a value and its word together."""
        setattr(self, column, value.value)
        setattr(self, self.word_of(column), value.stated)

    @classmethod
    def word_of(cls, column: str) -> str:
        """Name of the column that holds the word of `column`. Raises `KeyError` if it has none."""
        word: str = cls.__table__.columns[column].info["word"]
        return word


def with_word(word: str) -> MappedColumn[Any]:
    """A column that may be empty, and whose emptiness is told by the column `word`."""
    return mapped_column(nullable=True, info={"word": word})


def word(empty: Stated = Stated.UNKNOWN) -> MappedColumn[Any]:
    """The word column itself; `empty` is what no value means as long as nobody says otherwise."""
    return mapped_column(info={"empty": empty})


def keep_words_true() -> None:
    """Once all tables are there: a word follows its value, and the database refuses the two to disagree."""
    for mapper in Base.registry.mappers:
        table = mapper.class_.__table__
        for column in list(table.columns):
            if name := column.info.get("word"):
                rule = f"({column.name} IS NULL) = ({name} <> '{Stated.KNOWN}')"
                table.append_constraint(CheckConstraint(rule, name=f"{column.name}_and_word"))
                _let_word_follow(mapper.class_, column.name, name)


def _let_word_follow(table: type[Base], column: str, name: str) -> None:
    empty = table.__table__.columns[name].info["empty"]

    @event.listens_for(getattr(table, column), "set")
    def follow(row: Base, value: object, before: object, initiator: object) -> None:
        if value is not None:
            setattr(row, name, Stated.KNOWN)
        elif getattr(row, name) in (Stated.KNOWN, None):
            setattr(row, name, empty)


@event.listens_for(Base, "before_insert", propagate=True)
def _set_missing_words(mapper: Mapper[Base], connection: Connection, row: Base) -> None:
    """A new row whose value was never spoken of."""
    for column in row.__table__.columns:
        name = column.info.get("word")
        if name is not None and getattr(row, name) is None:
            setattr(row, name, row.__table__.columns[name].info["empty"])
