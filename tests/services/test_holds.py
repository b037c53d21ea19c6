from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.rules.holds import HoldAction, NotYet
from retrofit_desk.services.holds import HoldService, effect_between, pass_hold
from retrofit_desk.services.packet_permits import override_lines
from retrofit_desk.services.papers import Filing, PaperService, Use
from retrofit_desk.values.dates import day_text

TODAY = date(2026, 11, 20)  # a Friday


@pytest.fixture
def project(tmp_path: Path) -> Iterator[Project]:
    """The north wall of the den waits for rough electrical, booked Monday, and two photos."""
    with Project.create(tmp_path / "house") as made:
        with made.action("Tell the story") as work:
            permit = m.Permit(key="electrical", kind=m.PermitKind.ELECTRICAL, title="Electrical, den")
            visit = m.Inspection(
                position=0,
                kind="rough_electrical",
                title="Rough electrical",
                result=m.InspectionResult.BOOKED,
                booked_for=date(2026, 11, 23),
            )
            permit.inspections.append(visit)
            measure = m.Measure(key="batts", kind="insulation_batts", title="Batts in the den")
            work.session.add_all([m.Site(name="Maple House", story_date=TODAY), permit, measure])
            work.session.flush()
            passed = m.HoldNeed(
                kind=m.NeedKind.INSPECTION, text="rough electrical has passed", inspection_id=visit.id
            )
            photos = m.HoldNeed(
                kind=m.NeedKind.PHOTO_SET, text="the photo set is complete", count=2, position=1
            )
            work.session.add(
                m.Hold(
                    key="cover-den-north",
                    action=HoldAction.COVER,
                    what="the north wall of the den",
                    subject=m.HoldSubject.MEASURE,
                    subject_id=measure.id,
                    measure_id=measure.id,
                    needs=[passed, photos],
                )
            )
        yield made


def pass_inspection(project: Project) -> None:
    with project.action("Record the visit") as work:
        visit = work.session.get(m.Inspection, 1)
        assert visit is not None
        visit.result, visit.visited_on = m.InspectionResult.PASSED, TODAY


def file_photo(project: Project, tmp_path: Path, number: int) -> None:
    path = tmp_path / f"{number}.jpg"
    path.write_bytes(b"\xff\xd8\xff" + bytes([number]))
    filing = Filing(m.PaperKind.PHOTO, f"Photo {number}", TODAY, uses=(Use(m.PaperSubject.HOLD_NEED, 2),))
    PaperService(project).file(path, filing)


def test_a_hold_says_what_it_waits_for_and_how_far_that_is(project: Project, tmp_path: Path) -> None:
    file_photo(project, tmp_path, 1)
    (hold,) = HoldService(project).blocking()
    assert hold.sentence == (
        "Not yet: don't cover the north wall of the den until rough electrical has passed (booked Monday) "
        "and the photo set is complete (1 of 2)."
    )
    assert hold.waits_on == (1, 2)


def test_the_last_paper_frees_it_and_the_effect_says_so(project: Project, tmp_path: Path) -> None:
    holds = HoldService(project)
    pass_inspection(project)
    file_photo(project, tmp_path, 1)
    before = holds.all()
    file_photo(project, tmp_path, 2)
    effect = effect_between(before, holds.all(), measure_id=1)
    assert effect.frees == ("Free since Nov 20, 2026: cover the north wall of the den.",)
    assert effect.still_blocks == ()
    holds.do_step(1)
    assert holds.all()[0].is_done


def test_a_step_before_its_evidence_is_refused_and_nothing_is_recorded(project: Project) -> None:
    with pytest.raises(NotYet, match="don't cover the north wall"):
        HoldService(project).do_step(1)
    assert not HoldService(project).all()[0].is_done
    assert project.undo_title == "Tell the story"


def test_going_on_needs_a_reason_that_stays_visible(project: Project) -> None:
    holds = HoldService(project)
    holds.do_step(1, reason="Inspector allowed it by phone", by="owner")
    (view,) = holds.overridden()
    assert view.is_done
    assert view.answer.hold.override is not None
    assert view.answer.hold.override.reason == "Inspector allowed it by phone"
    assert view.answer.hold.override.missing == (
        "rough electrical has passed (booked Monday)",
        "the photo set is complete (0 of 2)",
    )


def test_a_reason_written_down_after_the_step_tells_both_days(project: Project) -> None:
    before = TODAY - timedelta(days=4)
    with project.action("Write up the work of four days ago") as work:
        pass_hold(work.session, 1, before, reason="The crew had left", by="owner")
    (view,) = HoldService(project).overridden()
    assert view.answer.hold.done_on == before
    assert view.answer.hold.override is not None
    assert view.answer.hold.override.on == TODAY  # nobody gave it before it was written
    told = f"Reason of {day_text(TODAY)} for {day_text(before)}: The crew had left."
    assert told in view.sentence
    with project.session() as session:
        (line,) = override_lines(session)
    assert (line.on, line.step_on) == (TODAY, before)


def test_undo_gives_the_hold_back(project: Project) -> None:
    holds = HoldService(project)
    holds.do_step(1, reason="Inspector allowed it by phone")
    project.undo()
    assert [view.id for view in holds.blocking()] == [1]
    assert holds.overridden() == ()


def test_a_second_visit_answers_for_the_first(project: Project) -> None:
    with project.action("Fail, then pass again") as work:
        first = work.session.get(m.Inspection, 1)
        assert first is not None
        first.result, first.visited_on = m.InspectionResult.FAILED, date(2026, 11, 10)
        work.session.add(
            m.Inspection(
                permit_id=first.permit_id,
                position=1,
                kind=first.kind,
                title="Rough electrical, second visit",
                result=m.InspectionResult.PASSED,
                visited_on=date(2026, 11, 18),
                again_of_id=first.id,
            )
        )
    (hold,) = HoldService(project).blocking()
    assert hold.waits_on == (2,)


def test_one_paper_frees_a_wall_and_a_payment_through_the_same_engine(
    project: Project, tmp_path: Path
) -> None:
    # CONS-3: hold points and money gates share one engine, dependency and evidence
    with project.action("Hold the money too") as work:
        needs = [m.HoldNeed(kind=m.NeedKind.PAPER, text="the boards are photographed", count=1)]
        work.session.add(
            m.Hold(
                key="pay-den",
                action=HoldAction.PAY,
                what="the second stage",
                subject=m.HoldSubject.MEASURE,
                subject_id=1,
                measure_id=1,
                needs=needs,
            )
        )
    pass_inspection(project)
    file_photo(project, tmp_path, 1)
    assert {view.answer.hold.action for view in HoldService(project).blocking()} == {
        HoldAction.COVER,
        HoldAction.PAY,
    }
    path = tmp_path / "2.jpg"
    path.write_bytes(b"\xff\xd8\xff2")
    both = (Use(m.PaperSubject.HOLD_NEED, 2), Use(m.PaperSubject.HOLD_NEED, 3))
    filed = PaperService(project).file(path, Filing(m.PaperKind.PHOTO, "Boards on", TODAY, uses=both))
    assert len(filed.effect.frees) == 2
    assert HoldService(project).blocking() == ()
    project.undo()
    assert len(HoldService(project).blocking()) == 2
