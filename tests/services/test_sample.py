"""The sample house: rich, consistent, the same every time, and with the faults its story tells."""

from __future__ import annotations

import sys
from collections import Counter, defaultdict
from collections.abc import Iterator
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from types import ModuleType

import pytest
from pypdf import PdfReader
from sqlalchemy import select

from retrofit_desk.estimate.from_records import case_of
from retrofit_desk.estimate.measures import kinds
from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.project import Project
from retrofit_desk.records.tables import Tables
from retrofit_desk.rules.matching import FactKind
from retrofit_desk.rules.states import missing_for
from retrofit_desk.services.holds import HoldService
from retrofit_desk.services.measure_facts import facts_of
from retrofit_desk.services.places import named
from retrofit_desk.services.sample import make_sample
from retrofit_desk.services.site_tests import verdict_of
from tests.records.builders import everything_stored


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Project]:
    with make_sample(tmp_path_factory.mktemp("sample") / "house") as project:
        yield project


def test_every_state_of_a_measure_but_not_borne_out_is_there(sample: Project) -> None:
    with sample.session() as session:
        states = {measure.state for measure in session.scalars(select(m.Measure))}
    assert states == set(m.MeasureState) - {m.MeasureState.NOT_BORNE_OUT}


def test_the_history_of_each_measure_ends_in_its_state(sample: Project) -> None:
    with sample.session() as session:
        for measure in session.scalars(select(m.Measure)):
            assert measure.changes[-1].after is measure.state, measure.title
            before = [change.before for change in measure.changes[1:]]
            assert before == [change.after for change in measure.changes[:-1]], measure.title
            days = [change.on for change in measure.changes]
            assert days == sorted(days), measure.title


def test_floors_and_ceilings_cover_the_rooms_they_belong_to(sample: Project) -> None:
    with sample.session() as session:
        for room in session.scalars(select(m.Room)):
            assert room.outline is not None
            assert _area(room.outline) == pytest.approx(room.floor_area_m2, abs=0.05), room.name
            floors = sum(s.area_m2 for s in room.surfaces if s.kind is m.SurfaceKind.FLOOR)
            if room.kind is not m.RoomKind.ATTIC:
                assert floors == pytest.approx(room.floor_area_m2, abs=0.05), room.name


def test_openings_fit_into_their_walls(sample: Project) -> None:
    with sample.session() as session:
        for surface in session.scalars(select(m.Surface)):
            glass = sum(o.width_m * o.height_m * o.count for o in surface.openings)
            assert glass < surface.area_m2, surface.name


def test_stages_and_shares_add_up_to_the_price_of_each_contract(sample: Project) -> None:
    with sample.session() as session:
        for contract in session.scalars(select(m.Contract)):
            assert sum(stage.amount_cents for stage in contract.stages) == contract.price_cents, (
                contract.title
            )
            assert sum(share.share_cents for share in contract.shares) == contract.price_cents, contract.title


def test_no_payment_is_larger_than_its_invoice_less_retainage(sample: Project) -> None:
    with sample.session() as session:
        for invoice in session.scalars(select(m.Invoice)):
            paid = sum(payment.amount_cents for payment in invoice.payments)
            assert paid in (0, invoice.amount_cents - invoice.retained_cents), invoice.number


def test_every_paper_is_whole_and_serves_something_that_is_recorded(sample: Project) -> None:
    with sample.session() as session:
        papers = session.scalars(select(m.Paper)).all()
        for paper in papers:
            assert sample.papers.verify(paper.sha256), paper.title
            assert paper.uses, paper.title
            for use in paper.uses:
                assert named(session, use.subject, use.subject_id) is not None, paper.title
        assert len({paper.sha256 for paper in papers}) == len(papers)
        assert sum(paper.size_bytes for paper in papers) < 4_000_000


def test_what_is_read_off_a_paper_stands_on_it(sample: Project) -> None:
    with sample.session() as session:
        papers = session.scalars(select(m.Paper).where(m.Paper.kind == PaperKind.INVOICE)).all()
        for paper in papers:
            text = "".join(page.extract_text() for page in PdfReader(sample.papers.path(paper.sha256)).pages)
            plain = text.replace("\n", " ")
            for fact in paper.facts:
                if fact.kind in (FactKind.SERIAL, FactKind.MODEL, FactKind.NAME, FactKind.FIRM):
                    assert fact.value in plain, (paper.title, fact.value)


def test_the_water_heater_invoice_confuses_zero_and_the_letter_o(sample: Project) -> None:
    with sample.session() as session:
        serials = defaultdict(set)
        query = select(m.PaperFact, m.Paper).join(m.Paper).where(m.PaperFact.kind == FactKind.SERIAL)
        for fact, paper in session.execute(query):
            if "OK66" in fact.value:
                serials[paper.kind].add(fact.value)
    assert serials[PaperKind.INVOICE] == {"OK66-2609-01187"}
    assert serials[PaperKind.PHOTO] == {"OK66-2609-O1187"}


def test_the_den_wall_and_the_pour_wait_and_the_signed_contract_does_not(sample: Project) -> None:
    views = {view.answer.hold.key: view for view in HoldService(sample).all()}
    assert not views["cover-den-north"].answer.may_go_on
    assert not views["pour-den"].answer.may_go_on
    assert not views["remove-furnace"].answer.may_go_on
    assert views["sign-ground"].is_done
    assert views["sign-ground"].answer.may_go_on


def test_steps_that_were_done_had_their_evidence_or_a_written_reason(sample: Project) -> None:
    for view in HoldService(sample).all():
        if view.is_done:
            assert view.answer.may_go_on or view.answer.hold.override is not None, view.sentence


def test_each_open_wait_says_with_whom_and_since_when(sample: Project) -> None:
    with sample.session() as session:
        for task in session.scalars(select(m.Task).where(m.Task.state == m.TaskState.STARTED)):
            if task.kind is m.TaskKind.WAIT:
                assert task.with_whom, task.title
                assert task.since, task.title


def test_links_between_tasks_have_no_circle(sample: Project) -> None:
    import networkx as nx

    with sample.session() as session:
        graph = nx.DiGraph((link.before_id, link.after_id) for link in session.scalars(select(m.TaskLink)))
    assert nx.is_directed_acyclic_graph(graph)


def test_each_meter_has_24_bills_without_gap(sample: Project) -> None:
    with sample.session() as session:
        for meter in session.scalars(select(m.Meter)):
            assert len(meter.bills) == 24
            ends = [bill.period_end for bill in meter.bills]
            assert [bill.period_start for bill in meter.bills[1:]] == ends[:-1]


def test_a_photo_set_in_progress_is_short_by_one(sample: Project) -> None:
    with sample.session() as session:
        filed = Counter(
            use.subject_id
            for use in session.scalars(select(m.PaperUse).where(m.PaperUse.subject == PaperSubject.HOLD_NEED))
        )
        sets = {
            need.hold.key: need.count - filed[need.id]
            for need in session.scalars(select(m.HoldNeed).where(m.HoldNeed.kind == m.NeedKind.PHOTO_SET))
        }
    assert sets["cover-den-north"] == 1
    assert sets["backfill-bores"] == 0


def test_undo_takes_back_the_last_steps_of_the_story_but_never_the_house(tmp_path: Path) -> None:
    with make_sample(tmp_path / "again") as project:
        assert project.undo_title == "Begin to write up the bath floor"
        stands = everything_stored(project)
        steps = 0
        while project.undo_title:
            project.undo()
            steps += 1
        with project.session() as session:
            assert len(session.scalars(select(m.Measure)).all()) == 15
        assert steps > 1
        while project.redo_title:
            project.redo()
        assert everything_stored(project) == stands


def test_two_samples_are_the_same_to_the_byte_of_every_paper(sample: Project, tmp_path: Path) -> None:
    with make_sample(tmp_path / "second") as second:
        assert sorted(second.papers.all_hashes()) == sorted(sample.papers.all_hashes())


def test_the_record_supports_the_state_of_every_measure(sample: Project) -> None:
    with sample.session() as session:
        lacking = {
            measure.key: missing_for(measure.state, facts_of(session, measure))
            for measure in session.scalars(select(m.Measure))
        }
    assert {key: missing for key, missing in lacking.items() if missing} == {}


def test_every_test_of_the_story_is_a_known_kind_and_its_verdict_is_true(sample: Project) -> None:
    known = {kind.key: kind for kind in Tables().test_kinds}
    with sample.session() as session:
        for test in session.scalars(select(m.CommissioningTest)):
            assert test.kind in known, test.kind
            assert test.unit == known[test.kind].unit, test.kind
            verdict = verdict_of(session, test)
            assert test.passed is verdict.passed is True, verdict.sentence


def test_programmes_and_tariffs_of_the_story_have_their_dated_rules(sample: Project) -> None:
    programmes = {programme.key for programme in Tables().programmes}
    tariffs = {tariff.key for tariff in Tables().tariffs}
    with sample.session() as session:
        assert {choice.programme_key for choice in session.scalars(select(m.ProgrammeChoice))} <= programmes
        assert {choice.tariff_key for choice in session.scalars(select(m.TariffChoice))} <= tariffs


def test_every_measure_in_the_line_up_is_understood_by_the_estimator(sample: Project) -> None:
    with sample.session() as session:
        case = case_of(session)
        rows = session.scalars(
            select(m.Measure).where(m.Measure.in_line_up).order_by(m.Measure.position)
        ).all()
    for row in rows:
        kind = kinds()[row.kind]
        case = kind.apply(case, kind.inputs.model_validate(row.inputs))
    assert case.plant.cooking is not None
    assert case.plant.cooking.fuel == "electricity"


def test_the_stored_bills_follow_the_engine_within_their_scatter(sample: Project) -> None:
    maker = _bills_maker()
    as_found = maker.year_of(maker.cases(maker.GREENSBORO, maker.CHANGES)[0][1], maker.greensboro())
    for meter in maker.METERS:
        expected = maker.daily_kwh(as_found, meter.fuel).sum() / meter.kwh_per_unit
        with sample.session() as session:
            row = session.scalars(select(m.Meter).where(m.Meter.tariffs.any(tariff_key=meter.tariff))).one()
            first_year = sum(bill.quantity or 0.0 for bill in row.bills[:12])
        assert first_year == pytest.approx(expected, rel=0.05), meter.fuel


def test_a_failure_on_the_way_leaves_no_folder_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        raise OSError("no space left")

    monkeypatch.setattr("retrofit_desk.services.sample._file", fail)
    with pytest.raises(OSError, match="no space left"):
        make_sample(tmp_path / "house")
    assert list(tmp_path.iterdir()) == []


def _bills_maker() -> ModuleType:
    """The routine that wrote the bills; it stands beside the tests, outside any package."""
    spec = spec_from_file_location("make_sample_bills", Path(__file__).parent / "make_sample_bills.py")
    assert spec is not None
    assert spec.loader is not None
    module = module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def _area(outline: list[list[float]]) -> float:
    following = outline[1:] + outline[:1]
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(outline, following, strict=True))) / 2
