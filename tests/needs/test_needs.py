"""The 22 pains of an owner who runs the works (NEED-1 to NEED-22): each has its answer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from pathlib import Path

import pytest
from icalendar import Calendar
from sqlalchemy import select

from retrofit_desk.paperwork.contents import ReadinessLine
from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import Tables
from retrofit_desk.rules.hazards import HazardState
from retrofit_desk.rules.holds import NotYet
from retrofit_desk.rules.matching import Readiness
from retrofit_desk.rules.programmes import ProgrammeStatus
from retrofit_desk.rules.site_tests import TestRecord, judge, limits_for
from retrofit_desk.services.account_entry import AccountEntryService
from retrofit_desk.services.at_hand import AtHandService
from retrofit_desk.services.circuit_entry import CircuitEntryService, WrittenCircuit
from retrofit_desk.services.did_it_work import DidItWorkService
from retrofit_desk.services.hazard_entry import HazardEntryService, Settlement, WrittenFind
from retrofit_desk.services.hazards import HazardService
from retrofit_desk.services.heat_watch import HeatWatchService
from retrofit_desk.services.holds import HoldService
from retrofit_desk.services.inside import InsideService
from retrofit_desk.services.machine_page import MachinePageService
from retrofit_desk.services.machine_trend import MachineTrendService
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.money_values import WrittenChange, WrittenPayment
from retrofit_desk.services.packets import PacketService
from retrofit_desk.services.panel import PanelService, Stage
from retrofit_desk.services.papers import Filing, PaperService, Use
from retrofit_desk.services.permits import PermitService
from retrofit_desk.services.programmes import ProgrammeService
from retrofit_desk.services.quote_values import QuoteSheet, RequestSheet
from retrofit_desk.services.quotes import QuoteService
from retrofit_desk.services.schedule import ScheduleService
from retrofit_desk.services.search import SearchService
from retrofit_desk.services.step_plan import StepPlanService
from retrofit_desk.services.strip_heat import StripAnswer, StripHeatService
from retrofit_desk.services.visits import Booking, CannotBook, VisitService
from retrofit_desk.services.work_calendar import WorkCalendarService
from retrofit_desk.services.work_log import WorkLogService
from retrofit_desk.values.place import PageKey
from retrofit_desk.values.stated import Stated, StatedValue
from tests.journeys.two_year_story import Story
from tests.journeys.two_year_story.clock import HOUSE, end_of
from tests.services import test_machine_trend as trend_files
from tests.services import test_strip_heat as strips
from tests.services.small_house import a_recorded_house
from tests.services.test_quotes import an_acceptance, quote_of, request_named

TODAY = date(2026, 11, 20)


@pytest.fixture
def reading(sample_folder: Path) -> Iterator[Project]:
    with Project.open(sample_folder, read_only=True) as project:
        yield project


def measure_named(project: Project, word: str) -> int:
    return next(row.id for row in MeasureService(project).rows() if word in row.title)


def ground(project: Project) -> RequestSheet:
    return request_named(project, "Ground-source")


def needs_owner(quote: QuoteSheet) -> str:
    return "\n".join(point.text for point in quote.points if point.needs_owner)


def test_need_01_signing_waits_for_the_written_reservation(sample_project: Project) -> None:
    glass = request_named(sample_project, "South glass")
    with sample_project.action("Choose a programme") as work:
        work.session.add(m.ProgrammeChoice(measure_id=glass.row.measure_id, programme_key="triad-warm-walls"))
    chosen = quote_of(glass, "Fallowmere")
    with pytest.raises(NotYet, match="reservation"):
        QuoteService(sample_project).accept(an_acceptance(chosen))
    QuoteService(sample_project).accept(an_acceptance(chosen, reason="The fund pays glass without one"))
    assert any("The fund pays" in view.sentence for view in HoldService(sample_project).overridden())


def test_need_02_the_budget_is_told_with_and_without_what_nobody_promised(two_years: Story) -> None:
    with two_years.project.as_of(end_of(date(2026, 9, 18))) as project:
        (net,) = ProgrammeService(project).view().unreserved
        assert net.without_it_cents - net.with_it_cents == 400_000
        assert all(line.checked_on is not None for line in ProgrammeService(project).view().chosen)
    with two_years.project.as_of(end_of(date(2026, 9, 1))) as project:
        (held,) = [
            one for one in AtHandService(project).look().runs_out if "Reservation" in one.seen.ending.what
        ]
        assert held.seen.days_left == 15
        assert held.needs_owner


def claim_lines(project: Project, programme: str) -> dict[str, ReadinessLine]:
    """What the packet of a claim has and lacks, by the first words of each need."""
    packets = PacketService(project)
    entry = next(one for one in packets.kinds() if one.title == "Rebate packet")
    about = next(one.id for one in entry.subjects if programme in one.title)
    return {line.need: line for line in packets.readiness(entry.kind, about).lines}


def told(lines: dict[str, ReadinessLine], begins: str) -> ReadinessLine:
    return next(line for need, line in lines.items() if need.startswith(begins))


def test_need_03_each_programme_has_its_own_list_of_papers(reading: Project) -> None:
    for key, name in (
        ("carraway-ground-heat", "Carraway Ground Heat"),
        ("carraway-water-heating", "Carraway Water Heating"),
    ):
        version = Tables().programme(key).version_on(TODAY)
        assert version is not None
        lines = claim_lines(reading, name)
        for document in version.documents:
            assert told(lines, f"{document.label} (asked for by {name})")
    lines = claim_lines(reading, "Carraway Ground Heat")
    assert told(lines, "Mechanical final").word is Readiness.MISSING


def test_need_03_a_claim_is_looked_through_before_it_is_sent(sample_project: Project) -> None:
    lines = claim_lines(sample_project, "Carraway Water Heating")
    serial, name = told(lines, "Serial number"), told(lines, "Owner's name, Heat-pump water heater")
    assert serial.word is Readiness.DOES_NOT_MATCH
    assert "“O” and “0”" in serial.found.replace('"O" and "0"', "“O” and “0”")
    assert name.word is Readiness.DOES_NOT_MATCH
    assert "short name" in name.found
    income = told(lines, "Proof of income")
    assert (income.word, "90 days" in income.found) == (Readiness.OUT_OF_DATE, True)
    assert told(lines, "Photo of the nameplate").word is Readiness.HAVE
    assert all(line.do for line in lines.values() if line.word is not Readiness.HAVE)

    with sample_project.action("What makes claims bounce") as work:
        papers = {paper.title: paper for paper in work.session.scalars(select(m.Paper))}
        bill = papers["Invoice PH-4410, Pennant Hill Plumbing"]
        for fact in bill.facts:
            if fact.kind is m.FactKind.ADDRESS:
                fact.value = "281 Quillback Lane, Greensboro, NC 27407"
        papers["Reservation CWH-2290"].on_paper = date(2026, 10, 20)  # after the work began
        for row in work.session.scalars(select(m.Invoice).where(m.Invoice.number == "PH-4410")):
            row.set_stated("labor_cents", StatedValue(None, Stated.NOT_STATED))
        plate = papers["New water heater plate"].sha256
        papers["Equipment match certificate, heat pump"].kind = PaperKind.OTHER
    path = sample_project.papers.path(plate)
    path.chmod(0o600)
    path.write_bytes(path.read_bytes()[:200])  # half a photo, as a broken telephone sends it

    lines = claim_lines(sample_project, "Carraway Water Heating")
    address = told(lines, "Address, Heat-pump water heater")
    assert (address.word, "281 Quillback" in address.found) == (Readiness.DOES_NOT_MATCH, True)
    reservation = told(lines, "Reservation letter")
    assert reservation.word is Readiness.OUT_OF_DATE
    assert "it had to be there before the work" in reservation.found
    apart = told(lines, "Equipment and labor apart")
    assert (apart.word, "PH-4410" in apart.found) == (Readiness.MISSING, True)
    photo = told(lines, "Photo of the nameplate")
    assert photo.word is Readiness.MISSING
    assert "New water heater plate is damaged and cannot be read" in photo.found
    match = told(claim_lines(sample_project, "Carraway Ground Heat"), "Certificate that the parts")
    assert match.word is Readiness.MISSING


def test_need_04_an_installer_nobody_looked_up_is_told_before_signing(reading: Project) -> None:
    assert "Nobody looked yet" in needs_owner(quote_of(ground(reading), "Ninefold"))


def test_need_05_quotes_are_compared_like_for_like(reading: Project) -> None:
    sorrel, harrowgate = quote_of(ground(reading), "Sorrel"), quote_of(ground(reading), "Harrowgate")
    assert sorrel.like_for_like.words == "$43,350.00"
    assert harrowgate.like_for_like.words == "at least $42,850.00"  # its tax is not stated: nobody's zero
    assert harrowgate.like_for_like.without_guess == ("Sales tax",)
    assert len({line.answer for line in sorrel.lines}) >= 3
    assert harrowgate.suggested or harrowgate.questions


def test_need_06_everyone_gets_the_same_scope_and_changes_add_up(sample_project: Project) -> None:
    sheet = ground(sample_project)
    message = QuoteService(sample_project).message(sheet.row.id)
    assert all(item.text in message for item in sheet.scope)
    money = MoneyService(sample_project)
    contract = next(row for row in money.contracts() if "sheathing" in row.title)
    before = money.sheet(contract.id).changes[-1].running_cents
    money.record_change(contract.id, WrittenChange(TODAY, "Another sill is rotten", 31_000))
    assert money.sheet(contract.id).changes[-1].running_cents == before + 31_000


def test_need_07_a_capacity_far_from_the_load_is_told(reading: Project) -> None:
    capacities = {quote.firm: quote.capacity_percent for quote in ground(reading).quotes}
    too_large = next(quote for quote in ground(reading).quotes if (quote.capacity_percent or 0) > 130)
    assert "load" in needs_owner(too_large)
    assert any(90 <= (percent or 0) <= 115 for percent in capacities.values())


def test_need_08_a_quote_for_the_house_as_found_is_told_beside_the_new_load(reading: Project) -> None:
    quote = quote_of(ground(reading), "Ninefold")
    assert quote.based_on == "as found"
    assert ground(reading).load is not None
    assert "124% of the load “with the attic slopes" in needs_owner(quote)


def test_need_09_what_must_be_known_first_comes_first(sample_project: Project) -> None:
    heat = measure_named(sample_project, "Ductless")
    steps = StepPlanService(sample_project)
    steps.plan(heat)
    rows = {row.title: row for row in ScheduleService(sample_project).view().steps if row.measure_id == heat}
    load, panel = (
        rows[title]
        for title in (
            "Work out the design load of the house as it will be",
            "Work out the load on the panel with everything added",
        )
    )
    assert load.start < rows["Set and start the equipment"].start
    assert panel.start < rows["Utility's answer on the added load"].start
    with sample_project.action("A car charger more") as work:
        panel_row = work.session.scalars(select(m.Panel)).one()
        panel_row.loads.append(
            m.PanelLoad(name="Car charger", category="fastened in place", volt_amperes=60_000.0)
        )
    (sheet,) = PanelService(sample_project).sheets(Stage.ALL, 2020)
    assert not sheet.fits


def test_need_10_the_utility_is_asked_early_and_its_delay_is_in_the_plan(sample_project: Project) -> None:
    solar = measure_named(sample_project, "Solar")
    with sample_project.action("Panel work") as work:
        work.session.get_one(m.Measure, solar).kind = "panel_work"
    offered = {step.key: step for step in StepPlanService(sample_project).offered(solar)}
    letter = offered["utility_load_letter"]
    assert letter.is_usual
    assert (letter.days_low, letter.days_high) == (10, 150)  # NEED-11: up to +150 days were told
    StepPlanService(sample_project).plan(solar, ["panel_load", "utility_load_letter", "service_and_panel"])
    rows = {row.title: row for row in ScheduleService(sample_project).view().steps if row.measure_id == solar}
    answer, service = rows["Utility's answer on the added load"], rows["Service and panel"]
    assert answer.title in service.waits_for
    assert answer.start < service.start
    assert answer.start_by == answer.start + timedelta(days=answer.days_to_spare)


def test_need_10_what_the_utility_may_ask_is_covered_or_told_and_a_load_can_be_held_back(
    sample_project: Project,
) -> None:
    money = MoneyService(sample_project)
    before = money.budget()
    row = next(one for one in money.contracts() if "Solar" in one.title)
    money.record_change(row.id, WrittenChange(TODAY, "The utility wants a larger transformer", 1_400_000))
    after = money.budget()
    assert after.may_come_cents == before.may_come_cents + 1_400_000
    assert (before.is_short, after.is_short) == (False, True)  # more than the contingency has left
    panels, circuits = PanelService(sample_project), CircuitEntryService(sample_project)
    (panel,) = panels.sheets(Stage.ALL, 2020)
    charger = WrittenCircuit(
        "Car charger",
        "",
        60.0,
        2,
        measure_id=measure_named(sample_project, "Solar"),
        volt_amperes=StatedValue(40_000.0),
        category="fastened in place",
    )
    circuit = circuits.put(panel.id, None, charger)
    (too_much,) = panels.sheets(Stage.ALL, 2020)
    assert not too_much.fits
    assert "Car charger" in too_much.fits_without
    circuits.put(panel.id, circuit, replace(charger, is_managed=True))
    (held,) = panels.sheets(Stage.ALL, 2020)
    assert held.fits


def test_need_11_waits_on_others_have_a_range_and_a_last_day_to_begin(reading: Project) -> None:
    view = ScheduleService(reading).view()
    waits = [one for one in view.open_steps if one.is_wait and one.days_high is not None]
    assert waits
    assert all(one.days_low <= one.days <= one.days_high for one in waits if one.days_low and one.days_high)
    assert view.ends_if_quick is not None
    assert view.ends_if_slow is not None
    assert view.ends_if_quick < view.ends_if_slow
    assert all(
        one.start_by == one.start + timedelta(days=one.days_to_spare) for one in waits if not one.is_started
    )


def test_need_12_an_open_wait_tells_whom_since_when_and_what_was_said(two_years: Story) -> None:
    with two_years.project.as_of(end_of(date(2026, 9, 18))) as project:
        wait = next(one for one in AtHandService(project).look().with_others if "Heat pump" in one.what)
        assert (wait.with_whom, wait.since) == ("Sorrel Ridge Ground Heat", date(2026, 3, 20))
        assert wait.is_due(date(2026, 9, 18))
        assert wait.answers == ("Jul 20, 2026: The factory ships at the end of October, not in July.",)
        assert "It has been with you since Mar 20, 2026" in wait.message
        assert "Maren Hollowell" in wait.message


def test_need_13_days_without_heat_are_told_with_what_would_carry_the_house(two_years: Story) -> None:
    with two_years.project.as_of(end_of(date(2026, 12, 9))) as project:
        (gap,) = HeatWatchService(project).look().gaps
        assert gap.is_heat
        assert gap.coldest_c is not None
        assert gap.temporary_heat_w is not None
    with two_years.project.as_of(end_of(date(2027, 1, 7))) as project:
        view = next(one for one in HoldService(project).all() if "gas furnace" in one.sentence)
        assert not view.answer.may_go_on


def test_need_14_a_firm_that_stays_away_is_late_and_a_backup_is_named(
    two_years: Story, tmp_path: Path
) -> None:
    morning = datetime.combine(date(2026, 12, 15), time(7), HOUSE)
    with two_years.project.as_of(morning) as project:
        line = next(one for one in AtHandService(project).look().ready if "Set and start" in one.title)
        assert line.is_late
        assert "agreed for Dec 14, 2026" in line.why
        assert "backup: Ninefold Geothermal" in line.why
        view = ScheduleService(project).view()
        assert any("Set and start" in one.title for one in view.look_ahead)
        WorkCalendarService(project).write(tmp_path / "dates.ics")
        events = Calendar.from_ical((tmp_path / "dates.ics").read_bytes()).walk("VEVENT")
        assert any("Set and start" in str(event["summary"]) for event in events)


def test_need_15_a_visit_has_its_checklist_and_is_not_booked_over_an_open_list(
    sample_project: Project,
) -> None:
    permits = PermitService(sample_project)
    visits = [one for office in permits.authorities() for sheet in office.permits for one in sheet.visits]
    again = next(one for one in visits if one.title == "Rough electrical, den, second visit")
    assert again.ready
    with pytest.raises(CannotBook, match="Box fill exceeded"):
        VisitService(sample_project).book(again.id, Booking(TODAY + timedelta(days=5)))
    titles = {one.title for one in PacketService(sample_project).kinds()}
    assert "Papers for the visit" in titles


def test_need_16_a_wall_is_covered_after_its_photos_and_found_again_by_room(two_years: Story) -> None:
    assert "three photos of the open wall with a tape are filed" in two_years.said["covering early"]
    with two_years.project.as_of(end_of(date(2028, 1, 15))) as project:
        inside = InsideService(project)
        face = next(face for face, words in inside.faces() if words == "Den, North wall")
        found = inside.look(face)
        assert [photo.tape_in_view for photo in found.photos] == [True, True, True]
        assert any("Wood-fiber batts, 3 1/2 in" in line for line in found.written)


def test_need_17_hazards_are_listed_by_age_and_a_find_stops_the_work(two_years: Story) -> None:
    with two_years.project.as_of(end_of(date(2025, 11, 10))) as project:
        before = HazardService(project).before_work(measure_named(project, "Air sealing"))
        assert before is not None
        assert {"Vermiculite"} <= {line.name.split(" ")[0] for line in before.to_look_for}
    with two_years.project.as_of(end_of(date(2025, 12, 10))) as project:
        before = HazardService(project).before_work(measure_named(project, "Air sealing"))
        assert before is not None
        assert [line.stops for line in before.found] == [True]


def test_need_17_a_find_stops_the_work_and_its_cost_is_held_against_the_contingency(
    sample_project: Project, tmp_path: Path
) -> None:
    money, hazards = MoneyService(sample_project), HazardEntryService(sample_project)
    batts = measure_named(sample_project, "batts")
    before = money.budget()
    left = before.contingency.left_cents.value
    assert left is not None
    find = WrittenFind(
        "vermiculite",
        "den wall, behind the panel",
        HazardState.FOUND,
        TODAY,
        batts,
        cost_cents=StatedValue(left),
    )
    effect = hazards.record(find)
    assert any("Wood-fiber batts" in one for one in effect.still_blocks)
    mine = [view for view in HoldService(sample_project).all() if view.measure_id == batts]
    assert any(not view.answer.may_go_on and "ermiculite" in view.answer.hold.because for view in mine)
    found = money.budget()
    assert found.open_finds_cents == left
    assert found.may_come_cents == before.may_come_cents + left
    assert found.is_short  # with what could come anyway it is more than is left

    row = next(one for one in money.contracts() if "sheathing" in one.title)
    signed = {"signed_by_owner_on": TODAY, "signed_by_firm_on": TODAY}
    money.record_change(
        row.id, WrittenChange(TODAY, "Vermiculite taken out", 310_000, measure_id=batts, **signed)
    )
    paper = tmp_path / "clearance.pdf"
    paper.write_bytes(b"%PDF-1.4 cleared")
    with sample_project.session() as session:
        find_id = session.scalars(select(m.HazardFinding.id).order_by(m.HazardFinding.id.desc())).first()
    assert find_id is not None
    hazards.settle(find_id, Settlement(HazardState.CLEARED, TODAY, "Licensed abatement, A-77", paper))
    after = money.budget()
    assert after.open_finds_cents == before.open_finds_cents
    assert after.contingency.by_changes_cents == before.contingency.by_changes_cents + 310_000
    assert after.contingency.left_cents.value == left - 310_000


def test_need_18_bills_are_held_against_the_weather_by_fuel_and_in_all(two_years: Story) -> None:
    (work,) = DidItWorkService(two_years.project).works()
    by_meter = {meter.name: meter.saved for meter in work.meters}
    gas, power = by_meter["Gas meter"], by_meter["Electric meter"]
    assert gas is not None
    assert power is not None
    assert work.site_kwh is not None
    assert gas.measured == 0  # MV-11: one fuel alone would say that everything was saved
    assert power.saved < 0 < work.site_kwh.saved


def test_need_19_commissioning_asks_for_limits_and_says_what_fails(two_years: Story) -> None:
    with two_years.project.as_of(end_of(date(2026, 5, 1))) as project:
        tests = {
            one.kind: one for one in WorkLogService(project).choices(measure_named(project, "Ground")).tests
        }
    assert {"ground_loop_pressure", "loop_purge", "temperature_difference", "water_flow"} <= set(tests)
    assert tests["ground_loop_pressure"].low_limit == 689.47
    assert tests["loop_purge"].low_limit == pytest.approx(0.61, abs=0.001)  # 2 ft/s
    page = MachinePageService(two_years.project)
    pump = next(row for row, name in page.machines() if name == "Ground-source heat pump")
    assert any(
        "Pressure of the loop" in line and "passed" in line for line in page.page(pump).part("Tests on site")
    )


@pytest.mark.parametrize(("runs", "answer"), [(True, StripAnswer.LIKELY), (False, StripAnswer.NO_SIGN)])
def test_need_18_running_strips_are_told_from_the_readings(
    tmp_path: Path, runs: bool, answer: StripAnswer
) -> None:
    with a_recorded_house(tmp_path / "house") as project:
        with project.action("Say the time zone") as work:
            work.session.scalars(select(m.Site)).one().time_zone = "Etc/GMT+5"
        strips.install(project)
        strips.file_readings(project, tmp_path / "hours.csv", strips=runs)
        sign = StripHeatService(project).look().sign
    assert sign is not None
    assert sign.answer is answer


def test_need_19_the_trend_of_the_first_days_is_filed_and_held_against_the_limits(
    sample_project: Project, tmp_path: Path
) -> None:
    trends = MachineTrendService(sample_project)
    page = MachinePageService(sample_project)
    pump = next(row for row, name in page.machines() if name.startswith("Ground-source heat pump"))
    trends.keep(trend_files.a_log(tmp_path, 4, 4, return_f=102.0), pump)
    (filed,) = trends.filed(pump)
    faults = [one.title for one in filed.sheet.points if one.is_fault]
    assert faults == ["It starts too often: a buffer, or more zones open", "Supply and return apart"]
    assert page.page(pump).part("Logs of its controller")[1].startswith("It starts too often")
    assert any("Log of Ground-source" in one.title for one in PaperService(sample_project).rows())


def test_need_19_a_buffer_valves_and_sensors_are_asked_for_and_half_a_list_fails() -> None:
    # common practice, no source: the points themselves
    kind = Tables().test_kind("buffer_valves_sensors")
    assert {"ground_source_heat_pump", "radiant_floor"} <= set(kind.measures)
    assert all(word in kind.caution for word in ("buffer", "purge", "sensors", "trend"))
    limits = limits_for(kind)
    seen = TestRecord(value=1.0, witness="Owner", has_photo=True)
    assert judge(kind, seen, limits).passed is True
    assert judge(kind, replace(seen, value=0.8), limits).passed is False
    assert judge(kind, replace(seen, has_photo=False), limits).passed is None


def test_need_10_the_case_of_the_utility_is_kept_found_and_stands_in_its_message(
    sample_project: Project, tmp_path: Path
) -> None:
    with sample_project.session() as session:
        meter = session.scalars(select(m.Meter.id).where(m.Meter.key == "electric-meter")).one()
    accounts = AccountEntryService(sample_project)
    sheet = accounts.of_meter(meter)
    assert sheet is not None
    accounts.correct(sheet.account_id, replace(sheet.written, case_numbers="UC-4471"))
    letter = tmp_path / "letter.txt"
    letter.write_text("Your service can carry 48 A more.", encoding="utf-8")
    solar = measure_named(sample_project, "Solar")
    uses = (Use(PaperSubject.MEASURE, solar),)
    filing = Filing(PaperKind.LETTER, "Utility's load letter, case UC-4471", TODAY, uses=uses)
    filed = PaperService(sample_project).file(letter, filing)
    found = {one.place.page: one.place.item for one in SearchService(sample_project).find("UC-4471")}
    assert found == {PageKey.HOUSE: meter, PageKey.PAPERS: filed.paper_id}
    waits = AtHandService(sample_project).look().with_others
    told_ = [one.message for one in waits if one.with_whom == "Carraway Light and Power"]
    assert told_
    assert all("My case with you: UC-4471." in message for message in told_)
    assert not any("UC-4471" in one.message for one in waits if one.with_whom == "Haw Bend Gas")
    sample_project.undo()
    sample_project.undo()
    assert SearchService(sample_project).find("UC-4471") == ()


def test_need_20_no_payment_leaves_before_the_waivers_of_the_chain(two_years: Story) -> None:
    with two_years.project.as_of(end_of(date(2026, 6, 1))) as project:
        sheet = MoneyService(project).sheet(MoneyService(project).contracts()[0].id)
        assert [party.name for party in sheet.parties if party.can_claim] == ["Ottermark Drilling"]
        blocked = [one for one in AtHandService(project).look().not_yet if "Bores tested" in one.sentence]
        assert "waiver of Ottermark Drilling" in blocked[0].sentence


def test_need_21_permits_stay_in_sight_until_their_final(two_years: Story) -> None:
    with two_years.project.as_of(end_of(date(2026, 11, 18))) as project:
        sheets = [one for office in PermitService(project).authorities() for one in office.permits]
        still_open = {one.title: one.still_needs for one in sheets if one.final_on is None}
        assert set(still_open) == {
            "Building permit, den walls",
            "Electrical permit, den",
            "Mechanical permit, heat pump",
        }
        assert all(still_open.values())
        lapsing = [
            one.seen for one in AtHandService(project).look().runs_out if "permit" in one.seen.ending.what
        ]
        # IRC R105.5: 180 days after the last work of June 5, 2026, on the batts
        assert min(one.days_left for one in lapsing) == 14


def test_need_22_a_warranty_is_registered_in_time_and_its_papers_stand_together(two_years: Story) -> None:
    with two_years.project.as_of(end_of(date(2026, 11, 20))) as project:
        due = next(
            one.seen
            for one in AtHandService(project).look().runs_out
            if "Registering" in one.seen.ending.what
        )
        assert due.days_left == 23  # 60 days after October 14
        page = MachinePageService(project)
        tank = next(row for row, name in page.machines() if name == "Heat-pump water heater")
        found = page.page(tank)
        assert "Serial: OK66-2609-01187" in found.part("The machine")
        assert any("Nameplate, close" in line for line in found.part("Papers"))


def test_a_rebate_that_ended_is_told_by_its_date(reading: Project) -> None:
    # NEED-2, REB-3: federal credits on 2026-11-20
    view = ProgrammeService(reading).view()
    ended = [line for line in view.could_apply if line.status is ProgrammeStatus.ENDED]
    assert ended
    assert all(line.amount_cents.value == 0 for line in ended)


def test_paying_for_a_reason_stays_in_sight(sample_project: Project) -> None:
    # NEED-20: an override is never silent
    money = MoneyService(sample_project)
    contract = next(row for row in money.contracts() if "Ground-source" in row.title)
    stage = next(one for one in money.sheet(contract.id).stages if one.holds)
    money.pay_stage(stage.id, WrittenPayment(stage.due_cents, TODAY, reason="Paid in front of me"))
    assert any("Paid in front of me" in view.sentence for view in HoldService(sample_project).overridden())
