"""Everything in a wall found again: drawn, listed, on one page, on the telephone."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from matplotlib.figure import Figure
from PIL import Image
from pypdf import PdfReader

from retrofit_desk.records.project import Project
from retrofit_desk.services.inside import FoundInside, HiddenKind, InsideService, MarkUnclear, WrittenHidden
from retrofit_desk.values.quantity import Units


def den_north(project: Project) -> int:
    return next(face for face, words in InsideService(project).faces() if words == "Den, North wall")


def a_cable(project: Project, **more: float | None) -> WrittenHidden:
    path = ((0.2, 0.46), (4.4, 0.46))
    return WrittenHidden(HiddenKind.CABLE, "14 AWG to the outlets", den_north(project), path, **more)  # type: ignore[arg-type]


@pytest.fixture(autouse=True)
def _bare_wall(sample_project: Project) -> None:
    """What the sample's story marks in it is taken out, so that each test marks its own."""
    for mark in look(sample_project).marks:
        InsideService(sample_project).take_out(mark.id)


def look(project: Project, units: Units = Units.US) -> FoundInside:
    return InsideService(project).look(den_north(project), units)


def test_what_was_written_photographed_and_marked_stands_together(sample_project: Project) -> None:
    # NEED-16, MOM-3
    before = look(sample_project)
    assert any("New 14 AWG cable at 18 in" in line for line in before.written)
    assert [photo.tape_in_view for photo in before.photos] == [True, True, True]
    assert all(photo.path is not None and photo.direction == "north" for photo in before.photos)
    InsideService(sample_project).mark(a_cable(sample_project, depth_m=0.03))
    (thing,) = look(sample_project).things
    assert thing.words == "14 AWG to the outlets, 1.18 in deep"
    assert thing.path == ((0.2, 0.46), (4.4, 0.46))
    sample_project.undo()
    assert look(sample_project).things == ()


def test_a_mark_is_set_right_or_taken_out_and_each_is_one_step_back(sample_project: Project) -> None:
    # NEED-16
    service = InsideService(sample_project)
    service.mark(a_cable(sample_project))
    (mark,) = look(sample_project).marks
    right = replace(mark.written, name="12 AWG to the outlets", path=((0.2, 0.46), (4.4, 0.3)), depth_m=0.02)
    service.correct(mark.id, right)
    (now,) = look(sample_project).marks
    assert (now.id, now.written) == (mark.id, right)
    assert now.where == "0.7 ft from the left and 1.5 ft up, then 14.4 ft from the left and 1.0 ft up"
    with pytest.raises(MarkUnclear, match=r"outside the face.*The mark stays as it was"):
        service.correct(mark.id, replace(right, path=((40.0, 0.3),)))
    assert look(sample_project).marks == (now,)
    assert sample_project.undo() == "Correct where 12 AWG to the outlets lies"
    assert look(sample_project).marks == (mark,)
    service.take_out(mark.id)
    assert look(sample_project).marks == ()
    sample_project.undo()
    assert look(sample_project).marks == (mark,)


def test_a_mark_moves_to_the_face_where_it_really_lies(sample_project: Project) -> None:
    service = InsideService(sample_project)
    service.mark(a_cable(sample_project))
    (mark,) = look(sample_project).marks
    other = next(face for face, words in service.faces() if words == "Den, South wall")
    service.correct(mark.id, replace(mark.written, surface_id=other, path=((0.2, 0.2),)))
    assert look(sample_project).marks == ()
    assert [one.id for one in service.look(other).marks] == [mark.id]


def test_a_mark_that_is_gone_is_told(sample_project: Project) -> None:
    service = InsideService(sample_project)
    with pytest.raises(MarkUnclear, match="no longer recorded"):
        service.correct(999, a_cable(sample_project))
    with pytest.raises(MarkUnclear, match="no longer recorded"):
        service.take_out(999)


def test_a_wall_is_as_long_as_its_area_over_its_height(sample_project: Project) -> None:
    found = look(sample_project)
    assert found.height_m == 2.3
    assert found.width_m == pytest.approx(10.6 / 2.3)
    assert [one.name for one in found.openings] == ["North window"]


@pytest.mark.parametrize(
    ("path", "word"), [((), "no place"), (((9.0, 0.1),), "outside the face"), (((0.1, -1.0),), "outside")]
)
def test_a_mark_that_cannot_be_drawn_is_refused(
    sample_project: Project, path: tuple[tuple[float, float], ...], word: str
) -> None:
    mark = WrittenHidden(HiddenKind.BOX, "Outlet", den_north(sample_project), path)
    with pytest.raises(MarkUnclear, match=word):
        InsideService(sample_project).mark(mark)


def test_shut_offs_of_the_whole_house_are_told_with_every_wall(sample_project: Project) -> None:
    valve = WrittenHidden(
        HiddenKind.SHUT_OFF, "Water main", den_north(sample_project), ((4.0, 0.3),), notes="behind the panel"
    )
    InsideService(sample_project).mark(valve)
    other = next(face for face, words in InsideService(sample_project).faces() if words.startswith("Bath"))
    assert InsideService(sample_project).look(other).shut_offs == (
        "Shut-off, Water main: Den behind the panel",
    )


def test_one_page_and_one_phone_picture_are_written(sample_project: Project, tmp_path: Path) -> None:
    service = InsideService(sample_project)
    service.mark(a_cable(sample_project))
    page = service.write_page(den_north(sample_project), tmp_path / "den.pdf")
    (only,) = PdfReader(page).pages
    words = only.extract_text()
    assert "Inside: Den, North wall" in words
    assert "14 AWG to the outlets" in words
    phone = service.write_phone(den_north(sample_project), tmp_path / "den.png")
    with Image.open(phone) as picture:
        assert picture.size == (1080, 1920)


def test_a_broken_photo_leaves_the_page_whole_and_says_so(sample_project: Project, tmp_path: Path) -> None:
    photo = look(sample_project).photos[-1]
    assert photo.path is not None
    photo.path.chmod(0o600)
    photo.path.write_bytes(b"\xff\xd8\xff no picture any more")
    page = InsideService(sample_project).write_page(den_north(sample_project), tmp_path / "den.pdf")
    assert "the photo cannot be read" in PdfReader(page).pages[0].extract_text()


def phone_words(project: Project, things: int, tmp_path: Path) -> tuple[list[str], tuple[int, int]]:
    """What the phone's picture writes, and its size, with so many more things in the wall."""
    wall = den_north(project)
    InsideService(project).mark(
        *(
            WrittenHidden(HiddenKind.BOX, f"Outlet {number}", wall, ((0.2 * number, 0.3),))
            for number in range(1, things + 1)
        )
    )
    written: list[str] = []
    draw = Figure.text

    def note(figure: Figure, x: float, y: float, words: str, **how: Any) -> Any:
        written.extend(words.splitlines())
        return draw(figure, x, y, words, **how)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Figure, "text", note)
        with Image.open(InsideService(project).write_phone(wall, tmp_path / "den.png")) as picture:
            return written, picture.size


def test_the_phone_picture_grows_so_that_nothing_told_is_cut(sample_project: Project, tmp_path: Path) -> None:
    lines, (wide, high) = phone_words(sample_project, 18, tmp_path)
    assert sum("Outlet" in line for line in lines) == 18
    assert not any(line.startswith("and ") and line.endswith("more") for line in lines)
    assert wide == 1080
    assert high > 1920


def test_on_the_printed_page_photos_give_way_to_words(sample_project: Project, tmp_path: Path) -> None:
    wall = den_north(sample_project)
    InsideService(sample_project).mark(
        *(
            WrittenHidden(HiddenKind.BOX, f"Outlet {number}", wall, ((0.12 * number, 0.3),))
            for number in range(1, 31)
        )
    )
    (page,) = PdfReader(InsideService(sample_project).write_page(wall, tmp_path / "den.pdf")).pages
    words = page.extract_text()
    assert "Outlet 30" in words
    assert " more\n" not in words
