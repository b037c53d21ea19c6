"""The twelve moments at which the record is consulted (MOM-1 to MOM-12): each finds what it needs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from PIL import Image
from pypdf import PdfReader

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import Tables
from retrofit_desk.rules.matching import Readiness
from retrofit_desk.rules.programme_amounts import WorkDates, WorkFacts, WorkItem
from retrofit_desk.rules.programmes import ProgrammeStatus, evaluate
from retrofit_desk.services.at_hand import AtHandService
from retrofit_desk.services.did_it_work import DidItWorkService
from retrofit_desk.services.inside import HiddenKind, InsideService, WrittenHidden
from retrofit_desk.services.machine_page import MachinePageService
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.packets import PacketService
from retrofit_desk.services.panel import PanelService, Stage
from retrofit_desk.services.papers import PaperService
from retrofit_desk.services.permits import PermitService
from retrofit_desk.services.programme_entry import ClaimState, ProgrammeEntryService, WrittenClaim
from retrofit_desk.services.quotes import QuoteService
from tests.journeys.two_year_story import Story
from tests.journeys.two_year_story.clock import end_of

LAST, TODAY = date(2028, 1, 15), date(2026, 11, 20)


@pytest.fixture
def reading(sample_folder: Path) -> Iterator[Project]:
    with Project.open(sample_folder, read_only=True) as project:
        yield project


@pytest.fixture
def at_the_end(two_years: Story) -> Iterator[Project]:
    with two_years.project.as_of(end_of(LAST)) as project:
        yield project


def machine(project: Project, name: str) -> int:
    return next(row for row, words in MachinePageService(project).machines() if words == name)


def test_mom_01_at_a_sale_every_permit_shows_its_final_and_the_record_names_no_account(
    sample_project: Project, at_the_end: Project
) -> None:
    sheets = [one for office in PermitService(at_the_end).authorities() for one in office.permits]
    assert sheets
    assert all(one.final_on is not None and not one.still_needs for one in sheets)
    made = PacketService(sample_project).make("next owner")
    words = "\n".join(page.extract_text() for page in PdfReader(made.path).pages)
    assert "B-26-2871" in words
    assert "31-0042-8817" not in words  # the electric account
    assert "7700-218-04" not in words  # the gas account


def test_mom_02_a_warranty_claim_finds_all_of_one_machine_on_one_page(
    at_the_end: Project, tmp_path: Path
) -> None:
    service = MachinePageService(at_the_end)
    tank = machine(at_the_end, "Heat-pump water heater")
    found = service.page(tank)
    assert "Serial: OK66-2609-01187" in found.part("The machine")
    assert "Installed: Oct 14, 2026" in found.part("The machine")
    assert "license P-30225" in found.part("Put in by")[0]
    assert "not registered, to be done by Dec 13, 2026" in found.part("Warranty")[0]
    (page,) = PdfReader(service.write(tank, tmp_path / "tank.pdf")).pages
    assert "OK66-2609-01187" in page.extract_text()


def test_mom_03_a_leak_or_a_drill_finds_the_wall_its_lines_and_the_shut_off_on_the_telephone(
    sample_project: Project, tmp_path: Path
) -> None:
    inside = InsideService(sample_project)
    faces = {words: face for face, words in inside.faces()}
    den, bath = faces["Den, North wall"], next(face for words, face in faces.items() if "Bath" in words)
    inside.mark(WrittenHidden(HiddenKind.WATER_PIPE, "Supply to the hose", den, ((0.4, 0.2), (0.4, 1.1))))
    inside.mark(
        WrittenHidden(HiddenKind.SHUT_OFF, "Water main", bath, ((0.5, 0.3),), notes="under the basin")
    )
    found = inside.look(den)
    assert found.photos
    assert "Supply to the hose" in [thing.words for thing in found.things]
    assert "Water main" in found.shut_offs[0]
    with Image.open(inside.write_phone(den, tmp_path / "den.png")) as picture:
        assert picture.size == (1080, 1920)


def test_mom_04_the_papers_for_a_visit_are_one_packet_with_the_earlier_list(sample_project: Project) -> None:
    packets = PacketService(sample_project)
    entry = next(one for one in packets.kinds() if one.title == "Papers for the visit")
    about = next(one for one in entry.subjects if "ough electrical" in one.title)
    made = packets.make(entry.kind, about=about.id)
    words = "\n".join(page.extract_text() for page in PdfReader(made.path).pages)
    assert "Box fill exceeded" in words


def test_mom_05_a_claim_an_audit_and_an_appeal_find_the_whole_set_and_its_days(
    sample_project: Project, tmp_path: Path
) -> None:
    packets, entry = PacketService(sample_project), ProgrammeEntryService(sample_project)
    rebate = next(one for one in packets.kinds() if one.title == "Rebate packet")
    about = next(one.id for one in rebate.subjects if "Carraway Water Heating" in one.title)
    assert about is not None
    wrong = {
        line.need.split(",")[0]
        for line in packets.readiness(rebate.kind, about).lines
        if line.word is Readiness.DOES_NOT_MATCH
    }
    assert wrong == {"Owner's name", "Serial number"}

    # the claim goes out; the packet holds its papers, and says what did not match
    made = packets.make(rebate.kind, about=about)
    words = "\n".join(page.extract_text() for page in PdfReader(made.path).pages)
    for paper in ("Reservation CWH-2290", "Invoice PH-4410", "New water heater plate"):
        assert paper in words
    packets.record_sent(made.id, "Carraway Light and Power", "by mail", TODAY)
    entry.record_claim(about, WrittenClaim(ClaimState.SENT, sent_on=TODAY))
    claim = next(one for one in AtHandService(sample_project).look().with_others if "Claim" in one.what)
    assert claim.since == TODAY

    # it bounces: the last day to appeal is by the rule, 30 days, and is told in time
    letter = tmp_path / "bounced.pdf"
    letter.write_bytes(b"%PDF-1.4 bounced")
    bounced = WrittenClaim(
        ClaimState.BOUNCED, sent_on=TODAY, answered_on=TODAY, answer="The serial does not match", paper=letter
    )
    entry.record_claim(about, bounced)
    (ends,) = [
        one
        for one in AtHandService(sample_project).look().runs_out
        if one.seen.ending.what.startswith("Appeal")
    ]
    assert (ends.seen.days_left, ends.seen.ending.ends_on) == (30, date(2026, 12, 20))
    row = next(one for one in MoneyService(sample_project).rebates() if one.choice_id == about)
    assert row.words == "claim bounced, appeal by Dec 20, 2026"
    assert row.needs_owner

    # an audit later: what was sent, to whom, when, and what was open then
    (sent,) = [one for one in packets.sent() if one.id == made.id]
    assert (sent.to_whom, sent.sent_on) == ("Carraway Light and Power", TODAY)
    assert "does not match: Serial number" in sent.readiness
    assert sent.path is not None

    # appealed: nobody is alarmed any more, the office is waited for
    entry.record_claim(about, replace(bounced, state=ClaimState.APPEALED, paper=None))
    found = AtHandService(sample_project).look()
    assert not any(one.seen.ending.what.startswith("Appeal") for one in found.runs_out)
    assert any("Claim" in one.what and "Carraway Water Heating" in one.what for one in found.with_others)


def test_mom_06_tax_time_tests_each_credit_by_its_own_date() -> None:
    # REB-3, section 25C: placed in service; 25D: installation completed. P.L. 119-21, second-hand
    tables = Tables()
    for key, kind in (("federal-25c", "air_source_heat_pump"), ("federal-25d", "ground_source_heat_pump")):
        programme = tables.programme(key)
        work = (WorkItem(kind, 1_600_000),)
        said = []
        for done in (date(2025, 12, 30), date(2026, 1, 2)):
            dates = WorkDates(placed_in_service=done, installation_completed=done)
            answer = evaluate(programme, WorkFacts(work, dates=dates), date(2026, 11, 20))
            said.append((answer.status, str(answer.date_tested)))
        assert said[0][0] is not ProgrammeStatus.ENDED
        assert said[1][0] is ProgrammeStatus.ENDED
    assert {str(tables.programme(key).versions[0].date_tested) for key in ("federal-25c", "federal-25d")} == {
        "placed in service",
        "installation completed",
    }


def test_mom_07_a_service_call_in_the_cold_finds_settings_tests_and_who_put_it_in(
    at_the_end: Project,
) -> None:
    found = MachinePageService(at_the_end).page(machine(at_the_end, "Ground-source heat pump"))
    assert "Flow temperature at 20 F: 104 F (Dec 18, 2026)" in found.part("Settings")
    assert "Backup element: off (Dec 18, 2026)" in found.part("Settings")
    assert any("Temperature difference" in line for line in found.part("Tests on site"))
    assert any("Sorrel Ridge Ground Heat, 336-555-0131" in line for line in found.part("Put in by"))


def test_mom_08_a_high_bill_is_held_against_the_weather_before_and_after(at_the_end: Project) -> None:
    (work,) = DidItWorkService(at_the_end).works()
    power = next(meter for meter in work.meters if meter.name == "Electric meter")
    assert power.saved is not None
    assert sum(month or 0 for month in power.after) > 0
    assert any(was is not None for was in power.as_it_was)
    assert work.reason


def test_mom_09_on_payment_day_what_may_be_paid_and_what_blocks_the_rest(two_years: Story) -> None:
    with two_years.project.as_of(end_of(date(2026, 6, 1))) as project:
        (line,) = [one for one in AtHandService(project).look().not_yet if "“Bores tested”" in one.sentence]
        assert "$15,599.00" in line.frees
        assert "$821.00 of it is held back" in line.frees
    with two_years.project.as_of(end_of(date(2026, 4, 25))) as project:
        (bill,) = [
            one for one in AtHandService(project).look().ready if one.title.startswith("Pay bill LY-1107")
        ]
        assert bill.days_to_spare == 25


def test_mom_10_an_insurer_gets_photos_by_room_and_day_and_the_permits(at_the_end: Project) -> None:
    photos = [row for row in PaperService(at_the_end).rows() if row.is_photo and "Den" in row.rooms]
    assert len(photos) == 3
    assert {row.on_paper for row in photos} == {date(2026, 6, 5)}
    numbers = {one.number for office in PermitService(at_the_end).authorities() for one in office.permits}
    assert {"B-26-1801", "E-26-3310", "M-26-0975", "G-27-0031"} == numbers


def test_mom_11_digging_later_finds_the_loop_from_two_fixed_points(sample_project: Project) -> None:
    # Conn. Agencies Regs. 25-128-62: a sketch tied to at least two fixed points, GPS to 5 decimals
    bores = machine(sample_project, "Three bores in the east garden")
    with sample_project.action("Tie a bore") as work:
        work.session.add(
            m.TiePoint(
                equipment_id=bores,
                name="Bore 1",
                latitude_deg=36.060012,
                longitude_deg=-79.870031,
                first_point="northeast corner",
                first_distance_m=7.42,
                second_point="southeast corner",
                second_distance_m=11.08,
            )
        )
    lines = MachinePageService(sample_project).page(bores).part("Where it lies in the ground")
    assert "24.3 ft from northeast corner" in lines[0]
    assert "36.06001, -79.87003" in lines[0]
    assert "811" in lines[-1]


def test_mom_12_the_next_phase_finds_spare_circuits_the_ledger_and_the_load_of_each_version(
    reading: Project,
) -> None:
    panels = PanelService(reading)
    (today,), (later,) = panels.sheets(Stage.TODAY, 2020), panels.sheets(Stage.ALL, 2020)
    assert [one.name for one in today.circuits if one.is_spare] == ["Spare", "Spare"]
    assert today.answer is not None
    assert later.answer is not None
    loads = dict(QuoteService(reading).choices().loads)
    assert {"as found", "with the attic slopes, sheathing, den batts and new windows"} <= set(loads.values())
