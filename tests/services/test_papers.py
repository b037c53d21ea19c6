from datetime import date
from pathlib import Path

import pytest
from PIL import Image
from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind
from retrofit_desk.records.project import Project
from retrofit_desk.rules.matching import Fact
from retrofit_desk.services.paper_checks import mismatches
from retrofit_desk.services.papers import Filing, PaperGone, PaperInUse, PaperService, Use
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import DeskError

PLATE = Fact(m.FactKind.SERIAL, "HW-20417-O", "tank")


@pytest.fixture
def project(tmp_path: Path):  # type: ignore[no-untyped-def]
    with Project.create(tmp_path / "house") as made:
        with made.action("Describe the den") as work:
            wall = m.Surface(
                key="den_north",
                name="North wall",
                kind=m.SurfaceKind.WALL,
                boundary=m.Boundary.OUTDOORS,
                area_m2=9.0,
            )
            den = m.Room(key="den", name="Den", floor_area_m2=14.0, surfaces=[wall])
            work.session.add(m.Storey(key="lower", name="Lower level", rooms=[den]))
            work.session.add(
                m.Measure(key="batts", kind="insulation_batts", title="Wood-fiber batts in the den")
            )
        yield made


def a_file(tmp_path: Path, content: bytes = b"%PDF-1.4 plate", name: str = "plate.pdf") -> Path:
    path = tmp_path / name
    path.write_bytes(content)
    return path


def test_a_paper_is_filed_once_and_serves_a_wall_and_a_measure(project: Project, tmp_path: Path) -> None:
    # CONS-4
    papers = PaperService(project)
    uses = (Use(m.PaperSubject.SURFACE, 1), Use(m.PaperSubject.MEASURE, 1))
    filing = Filing(
        m.PaperKind.PHOTO, "North wall, studs", date(2026, 3, 4), (PLATE,), uses, m.Direction.NORTH, True
    )
    filed = papers.file(a_file(tmp_path), filing)

    (row,) = papers.rows()
    assert (row.rooms, row.measures, row.used) == (("Den",), ("Wood-fiber batts in the den",), 2)
    sheet = papers.sheet(filed.paper_id)
    assert sheet.facts == (PLATE,)
    assert [use.title for use in sheet.used_for] == ["Den, North wall", "Wood-fiber batts in the den"]
    assert sheet.path is not None
    assert sheet.path.read_bytes() == b"%PDF-1.4 plate"


def test_the_same_content_is_told_and_kept_once(project: Project, tmp_path: Path) -> None:
    papers = PaperService(project)
    papers.file(a_file(tmp_path), Filing(m.PaperKind.PHOTO, "First"))
    again = papers.file(a_file(tmp_path, name="copy.pdf"), Filing(m.PaperKind.PHOTO, "Second"))
    assert again.already_filed_as == "First"
    assert len({papers.sheet(row.id).path for row in papers.rows()}) == 1


def test_a_paper_lost_from_the_folder_is_shown_as_missing(project: Project, tmp_path: Path) -> None:
    papers = PaperService(project)
    filed = papers.file(a_file(tmp_path), Filing(m.PaperKind.PHOTO, "Plate"))
    path = papers.sheet(filed.paper_id).path
    assert path is not None
    path.chmod(0o600)
    path.unlink()
    assert papers.rows()[0].is_missing
    assert papers.sheet(filed.paper_id).path is None


def test_filing_is_one_step_that_undo_takes_back(project: Project, tmp_path: Path) -> None:
    papers = PaperService(project)
    papers.file(a_file(tmp_path), Filing(m.PaperKind.PHOTO, "Plate", facts=(PLATE,)))
    assert project.undo() == "File Plate"
    assert papers.rows() == ()
    project.redo()
    assert papers.sheet(papers.rows()[0].id).facts == (PLATE,)


def test_serving_the_same_thing_twice_changes_nothing(project: Project, tmp_path: Path) -> None:
    papers = PaperService(project)
    filed = papers.file(a_file(tmp_path), Filing(m.PaperKind.PHOTO, "Plate"))
    for _ in range(2):
        papers.serve(filed.paper_id, Use(m.PaperSubject.ROOM, 1))
    assert papers.rows()[0].used == 1


def test_a_paper_taken_out_is_gone_and_says_so(project: Project, tmp_path: Path) -> None:
    papers = PaperService(project)
    filed = papers.file(a_file(tmp_path), Filing(m.PaperKind.PHOTO, "Plate"))
    papers.take_out(filed.paper_id)
    with pytest.raises(PaperGone, match="no longer filed"):
        papers.sheet(filed.paper_id)


def test_a_paper_that_a_contract_stands_on_is_kept(project: Project, tmp_path: Path) -> None:
    papers = PaperService(project)
    filed = papers.file(a_file(tmp_path), Filing(m.PaperKind.CONTRACT, "Contract"))
    with project.action("Sign") as work:
        firm = m.Firm(key="hollow", name="Hollow Oak Carpentry")
        work.session.add(firm)
        work.session.flush()
        contract = m.Contract(
            key="c", title="Batts", firm_id=firm.id, price_cents=96000, paper_id=filed.paper_id
        )
        work.session.add(contract)
    with pytest.raises(PaperInUse, match="a contract on record stands on this paper"):
        papers.take_out(filed.paper_id)
    assert len(papers.rows()) == 1


def disagreeing(project: Project) -> set[tuple[str, str]]:
    """Of what, and in one line what does not agree."""
    with project.session() as session:
        return {(one.title.removeprefix("Does not match: "), one.line) for one in mismatches(session)}


def test_contract_payment_permit_and_name_are_held_against_their_own_papers(
    sample_project: Project, tmp_path: Path
) -> None:
    # bullets of the owner's day: amount, number, date and name on quote, contract, bill, permit and photo
    papers, before = PaperService(sample_project), disagreeing(sample_project)
    with sample_project.session() as session:
        contract = session.scalars(select(m.Contract).where(m.Contract.title.contains("sheathing"))).one()
        payment = session.scalars(select(m.Payment).order_by(m.Payment.id)).first()
        permit = session.scalars(select(m.Permit).where(m.Permit.number != "")).first()
        assert payment is not None
        assert permit is not None
        rows = (
            (m.PaperKind.CONTRACT, m.PaperSubject.CONTRACT, contract.id, m.FactKind.DATE, "2026-08-15"),
            (
                m.PaperKind.PROOF_OF_PAYMENT,
                m.PaperSubject.PAYMENT,
                payment.id,
                m.FactKind.AMOUNT,
                str(payment.amount_cents + 900),
            ),
            (
                m.PaperKind.PERMIT,
                m.PaperSubject.PERMIT,
                permit.id,
                m.FactKind.NUMBER,
                permit.number.replace("0", "O"),
            ),
            (m.PaperKind.LETTER, m.PaperSubject.CONTRACT, contract.id, m.FactKind.NAME, "Maren T. Holowell"),
        )
        said = (f"contract {contract.title}", f"payment of {day_text(payment.on)}", permit.title, "the owner")
        swapped = "0" in permit.number
    for at, (kind, subject, row_id, fact, value) in enumerate(rows):
        path = a_file(tmp_path, f"%PDF-1.4 {at}".encode(), f"{at}.pdf")
        filing = Filing(kind, f"Paper {at}", facts=(Fact(fact, value),), uses=(Use(subject, row_id),))
        papers.file(path, filing)
    new_ones = disagreeing(sample_project) - before
    new = {what.partition(" of ")[2] for what, _ in new_ones}
    assert new == {what for what, counts in zip(said, (True, True, swapped, True), strict=True) if counts}
    assert any("Holowell" in line for _, line in new_ones)


def test_a_machine_in_two_parts_takes_the_plate_of_either_and_no_other(
    sample_project: Project, tmp_path: Path
) -> None:
    papers = PaperService(sample_project)
    with sample_project.action("Two parts") as work:
        row = work.session.scalars(select(m.Equipment).where(m.Equipment.name == "Induction range")).one()
        row.serial, row.second_serial, machine = "AB-100", "CD-200", row.id
    use = (Use(m.PaperSubject.EQUIPMENT, machine),)
    for at, serial in enumerate(("AB-100", "CD-200", "CD-2OO")):
        path = a_file(tmp_path, f"%PDF-1.4 part {at}".encode(), f"part {at}.pdf")
        filing = Filing(m.PaperKind.INVOICE, f"Bill {at}", facts=(Fact(m.FactKind.SERIAL, serial),), uses=use)
        papers.file(path, filing)
    told = disagreeing(sample_project)
    lines = [line for what, line in told if what == "serial of Induction range" and "Bill" in line]
    assert len(lines) == 1
    assert "CD-200" in lines[0]
    assert "look alike" in lines[0]


def test_a_picture_cut_off_is_kept_and_told_and_an_empty_file_is_not_filed(
    sample_project: Project, tmp_path: Path
) -> None:
    papers, photo = PaperService(sample_project), tmp_path / "wall.png"
    Image.effect_noise((80, 80), 40).save(photo)
    assert papers.file(photo, Filing(PaperKind.PHOTO, "Whole")).damage == ""
    cut = tmp_path / "cut.png"
    cut.write_bytes(photo.read_bytes()[:2000])
    found = papers.file(cut, Filing(PaperKind.PHOTO, "Cut off"))
    assert "damaged or cut off" in found.damage
    assert papers.sheet(found.paper_id).row.title == "Cut off"
    before, empty = papers.rows(), tmp_path / "empty.jpg"
    empty.touch()
    with pytest.raises(DeskError, match="empty"):
        papers.file(empty, Filing(PaperKind.PHOTO, "Nothing"))
    assert papers.rows() == before
