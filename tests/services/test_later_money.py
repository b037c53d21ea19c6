"""What comes after a measure is bought: from the tables, from the machines on record, from the owner."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

import pytest
from sqlalchemy import select

from retrofit_desk.estimate.later_money import LaterMoney
from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.services.later_money import LaterMoneyService, LaterWrong
from retrofit_desk.services.later_money_words import (
    later_in_short,
    later_rows,
    not_known,
    upkeep_rows,
)
from retrofit_desk.services.worth import WorthService
from retrofit_desk.services.worth_years import WorthYears, WorthYearsService
from retrofit_desk.services.worth_years_words import years_figures
from retrofit_desk.values.stated import Stated, StatedValue
from tests.services.small_house import a_recorded_house

UNKNOWN: StatedValue[int] = StatedValue(None, Stated.UNKNOWN)


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Project]:
    """The small house with its sum; tests that change it undo what they did."""
    with a_recorded_house(tmp_path_factory.mktemp("later") / "house") as made:
        with made.action("Cost it") as work:
            for measure in work.session.scalars(select(m.Measure)):
                measure.set_stated("cost_cents", StatedValue(400_000))
        WorthService(made).savings()
        yield made


def years(project: Project) -> WorthYears:
    found = WorthService(project).latest()
    assert found is not None
    return WorthYearsService(project).of(found)


def of_range(project: Project) -> LaterMoney:
    return next(one for one in years(project).later if "range" in one.title.lower())


def range_id(project: Project) -> int:
    with project.session() as session:
        return session.scalars(select(m.Measure.id).where(m.Measure.kind == "induction_range")).one()


def test_without_a_word_of_the_owner_the_table_of_lives_speaks_with_its_source(house: Project) -> None:
    # LIFE-2: NAHB component life study, second-hand: electric range 13 to 17 years
    (part,) = of_range(house).own
    assert part.life is not None
    assert (part.life.years, part.life.low_years, part.life.high_years) == (15, 13, 17)
    assert "NAHB component life study" in part.life.source
    assert part.again(20) == ((15, 400_000),)


def test_unknown_upkeep_is_said_and_is_not_zero(house: Project) -> None:
    found = years(house)
    assert "not zero" in not_known(found)
    upkeep = next(row for row in years_figures(found) if row.name == "Upkeep")
    assert upkeep.reserved == "unknown"
    assert {row.comes for row in upkeep_rows(found)} == {"unknown"}


def test_in_short_the_years_after_are_a_few_lines_whose_sums_are_those_of_the_tables(house: Project) -> None:
    found = years(house)
    told = {what: (why, figure) for what, why, figure in later_in_short(found)}
    assert len(told) <= 5
    why, figure = told["Bought again within 20 years, with the measures"]
    assert (why, figure) == ("Electric range in year 15.", "$4,000")
    assert told["Upkeep of a year"][1] == "unknown"
    left = sum(int(row.left.replace("$", "").replace(",", "")) for row in later_rows(found))
    parts = told["Worth after 20 years"][1].split(", ")
    with_it, without = (int("".join(filter(str.isdigit, part))) for part in parts)
    assert with_it + without == left


def test_the_owners_own_figures_take_the_place_of_the_table_and_undo_takes_them_back(house: Project) -> None:
    service, at = LaterMoneyService(house), range_id(house)
    before = years(house).reserved
    own = replace(
        service.own_figures(at),
        life_years=StatedValue(9),
        renewal_cents=StatedValue(150_000),
        upkeep_cents=StatedValue(0),
        ended_upkeep_cents=StatedValue(3_000),
        source="warranty card",
    )
    service.keep(at, own)
    kept = service.own_figures(at)
    assert replace(kept, as_of=None) == own
    later = of_range(house)
    first, rest = later.own
    assert first.life is not None
    assert first.again(20) == ((9, 150_000), (18, 150_000))
    assert "warranty card" in first.life.source
    assert (first.price_cents, rest.price_cents, rest.life) == (150_000, 250_000, None)
    found = years(house)
    assert found.reserved.flows_cents[1] - before.flows_cents[1] == 3_000
    assert "Induction range" not in not_known(found).split("not zero:")[1].split(".")[0]
    house.undo()
    assert years(house).reserved == before


def test_what_is_bought_anyway_falls_due_when_its_machine_is_worn_out(house: Project) -> None:
    # LIFE-2: a gas range lasts 15 to 19 years, middle 17; installed 10 years before the sum: due in 7
    found = WorthService(house).latest()
    assert found is not None
    made = found.made_at.date()
    with house.action("An old range") as work:
        old = m.Equipment(
            key="old-range",
            kind=m.EquipmentKind.RANGE,
            name="Old range",
            fuel=m.Fuel.GAS,
            installed_on=date(made.year - 10, made.month, made.day),
        )
        work.session.add(old)
        measure = work.session.get_one(m.Measure, range_id(house))
        measure.inputs = {**measure.inputs, "replaces": ["old-range"]}
        measure.set_stated("replacement_cents", StatedValue(90_000))
    WorthService(house).savings()
    (part,) = of_range(house).instead
    due = years(house).reserved
    service = LaterMoneyService(house)
    service.keep(range_id(house), replace(service.own_figures(range_id(house)), instead_due_on=made))
    now = years(house).reserved
    house.undo()
    house.undo()
    WorthService(house).savings()
    assert (part.name, part.bought_in) == ("Gas range", 7)
    assert part.bought_because.startswith("installed ")
    assert due.flows_cents[7] - due.flows_cents[6] == 90_000
    assert now.extra_cents < due.extra_cents


@pytest.mark.parametrize(
    ("changed", "told"),
    [({"life_years": StatedValue(0)}, "1 to 100"), ({"upkeep_cents": StatedValue(-1)}, "below")],
)
def test_what_cannot_be_is_refused(house: Project, changed: dict[str, StatedValue[int]], told: str) -> None:
    service, at = LaterMoneyService(house), range_id(house)
    with pytest.raises(LaterWrong) as refused:
        service.keep(at, replace(service.own_figures(at), **changed))
    assert told in refused.value.line()
    assert service.own_figures(at).life_years == UNKNOWN


def test_every_thing_is_told_with_its_price_its_years_and_what_is_left(house: Project) -> None:
    rows = later_rows(years(house))
    assert {row.measure for row in rows} == {one.title for one in years(house).later}
    assert all(row.source and row.price.startswith("$") for row in rows)
    table = next(row for row in rows if row.thing == "Electric range")
    assert (table.bought, table.left) == ("now, 15", "$2,667")  # 10 of 15 years of $4,000
