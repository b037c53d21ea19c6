"""What the tables keep, and what they refuse."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import JSON, Boolean, Date, DateTime, Double, Enum, Integer, String, select
from sqlalchemy.exc import IntegrityError

from retrofit_desk.records import models
from retrofit_desk.records.models import Base, UtcDateTime
from retrofit_desk.records.project import Project
from retrofit_desk.values.stated import Stated, StatedValue
from tests.records.builders import a_measure, a_storey

# in one order on every worker
TABLES = sorted((mapper.class_ for mapper in Base.registry.mappers), key=lambda table: table.__name__)
quick = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@quick
@given(cents=st.integers(-(2**62), 2**62))
def test_money_comes_back_to_the_cent(project: Project, cents: int) -> None:
    with project.action("Cost a measure") as work:
        measure = a_measure(cost_cents=cents)
        work.session.add(measure)
    with project.session() as session:
        assert session.get_one(models.Measure, measure.id).cost_cents == cents


@pytest.mark.parametrize(
    "value",
    [
        StatedValue(0, Stated.KNOWN),
        StatedValue(125_050, Stated.KNOWN),
        StatedValue(None, Stated.UNKNOWN),
        StatedValue(None, Stated.NOT_STATED),
        StatedValue(None, Stated.EXCLUDED),
    ],
)
def test_zero_unknown_not_stated_and_excluded_survive_storage(
    project: Project, value: StatedValue[int]
) -> None:
    with project.action("Cost a measure") as work:
        measure = a_measure()
        measure.set_stated("cost_cents", value)
        work.session.add(measure)
    with project.session() as session:
        assert session.get_one(models.Measure, measure.id).stated("cost_cents") == value


def test_what_a_quote_does_not_speak_of_is_not_stated(project: Project) -> None:
    with project.action("File a quote") as work:
        measure, firm = a_measure(), models.Firm(key="lark", name="Lark & Sons Heating")
        request = models.QuoteRequest(title="Heat pump", measure=measure)
        quote = models.Quote(request=request, firm=firm, price_cents=2_150_000)
        work.session.add(quote)
    with project.session() as session:
        kept = session.get_one(models.Quote, quote.id)
        assert kept.stated("price_cents") == StatedValue(2_150_000)  # given without its word: known
        assert kept.stated("capacity_w") == StatedValue(None, Stated.NOT_STATED)


def test_a_value_that_disagrees_with_its_word_is_refused(project: Project) -> None:
    with pytest.raises(IntegrityError, match="cost_cents_and_word"), project.action("Cost a measure") as work:
        work.session.add(a_measure(cost_cents=500, cost_is=Stated.UNKNOWN))  # said after the value


def test_a_word_follows_its_value_when_it_comes_and_goes() -> None:
    measure, quote = a_measure(), models.Quote(price_cents=100)
    measure.cost_cents = 0
    assert measure.stated("cost_cents") == StatedValue(0)
    measure.cost_cents = None
    assert measure.cost_is is Stated.UNKNOWN
    quote.price_cents = None
    assert quote.price_is is Stated.NOT_STATED


def test_a_word_that_was_chosen_stays_while_there_is_no_value() -> None:
    measure = a_measure(cost_is=Stated.EXCLUDED, cost_cents=None)
    measure.cost_cents = None
    assert measure.cost_is is Stated.EXCLUDED


def test_a_moment_without_its_zone_is_refused(project: Project) -> None:
    naive = datetime(2026, 3, 8, 2, 30)  # an hour that New York clocks skip that night
    with pytest.raises(Exception, match="time zone"), project.action("File") as work:
        work.session.add(
            models.Paper(
                kind=models.PaperKind.OTHER,
                title="",
                original_name="",
                sha256="",
                size_bytes=0,
                media_type="",
                filed_at=naive,
            )
        )


def test_a_moment_comes_back_the_same_in_utc(project: Project) -> None:
    moment = datetime(2026, 11, 1, 1, 30, 0, 125, tzinfo=timezone(timedelta(hours=-5)))
    with project.action("Work out a load") as work:
        load = models.DesignLoad(name="as found", heating_w=9_100.0, at_heating_c=-7.0, made_at=moment)
        work.session.add(load)
    with project.session() as session:
        kept = session.get_one(models.DesignLoad, load.id).made_at
    assert kept == moment
    assert kept.tzinfo is UTC


def test_the_outline_of_a_room_is_kept_corner_by_corner(project: Project) -> None:
    with project.action("Describe") as work:
        work.session.add(a_storey())
    with project.session() as session:
        assert session.scalars(select(models.Room.outline)).one() == [[0.0, 0.0], [4.1, 0.0], [4.1, 3.46]]


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.__tablename__)
def test_every_change_of_a_table_can_be_seen_by_the_history(table: type[Base]) -> None:
    """No shortcut past the objects: no link tables without an object, no cascades inside the database."""
    exact = (Integer, String, Double, Boolean, Date, DateTime, UtcDateTime, Enum, JSON)
    for relation in table.__mapper__.relationships:
        assert relation.secondary is None
        assert not relation.passive_deletes
        assert not relation.post_update
    for column in table.__table__.columns:
        assert isinstance(column.type, exact), column
        assert column.onupdate is None
        for key in column.foreign_keys:
            assert key.ondelete is None
            assert key.onupdate is None


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.__tablename__)
def test_money_is_whole_cents_and_every_worded_value_has_its_word(table: type[Base]) -> None:
    for column in table.__table__.columns:
        if column.name.endswith("_cents"):
            assert isinstance(column.type, Integer), column
        if name := column.info.get("word"):
            assert isinstance(table.__table__.columns[name].type, Enum)
            assert column.nullable
