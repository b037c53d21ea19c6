"""Whole ways through the window, each a list of sentences."""

from __future__ import annotations

from pathlib import Path

from retrofit_desk.services.holds import HoldService
from tests.journeys.owner import Owner
from tests.journeys.papers import a_letter, a_photo
from tests.records.builders import everything_stored

SLIDERS = "don't start taking out the old sliders until Fallowmere's lead-safe certificate is filed"
WALL = "three photos of the open wall with a tape are filed"


def test_work_meets_a_hold_its_paper_frees_it_and_the_packet_is_made(
    owner: Owner, sample_copy: Path, tmp_path: Path
) -> None:
    owner.opens_the_sample_house(sample_copy)
    owner.opens_the_page("At hand")
    assert SLIDERS in owner.reads()

    owner.opens_the_page("Measures")
    owner.chooses_the_measure("Casements instead of sliders")
    done = {"Who": "Owner", "Hours": "1.5", "What was done": "Took the first slider out"}
    assert SLIDERS in owner.is_asked_why_and_leaves_it("Write up the work …", done)
    assert "Took the first slider out" not in owner.reads()

    certificate = a_letter(tmp_path / "certificate.pdf", "Lead-safe certificate, Fallowmere Windows")
    owner.files(
        certificate, {"Kind": "certificate", "Date on it": "nov 20 2026", "Answers": "lead-safe certificate"}
    )
    assert any("start taking out the old sliders" in line and "Free since" in line for line in owner.told)
    owner.opens_the_page("At hand")
    assert SLIDERS not in owner.reads()

    owner.opens_the_page("Measures")
    owner.fills_in("Write up the work …", {})  # what was put aside is there again
    assert any(line.startswith("Written up.") for line in owner.told)
    assert "Took the first slider out" in owner.reads()

    words = owner.makes_the_packet("Rebate packet")
    assert "does not match" in words
    assert owner.troubles == []


def test_a_photo_in_the_write_up_answers_its_part_and_undo_takes_all_of_it_back(
    owner: Owner, sample_copy: Path, tmp_path: Path
) -> None:
    owner.opens_the_sample_house(sample_copy)
    before = everything_stored(owner.window.desk.project)
    owner.opens_the_page("Measures")
    owner.chooses_the_measure("Wood-fiber batts in the den walls")
    assert f"{WALL} (2 of 3)" in owner.reads()

    photo = a_photo(tmp_path / "den wall.jpg")
    owner.fills_in(
        "Write up the work …",
        {
            "Who": "Owner",
            "Photo den wall.jpg, a tape is in view": True,
            "Photo den wall.jpg, answers": WALL,
        },
        photo,
    )
    told = owner.told[-1]
    assert "Not yet: don't cover the den north wall until rough electrical has passed" in told
    assert WALL not in told
    after = everything_stored(owner.window.desk.project)

    owner.undoes()
    assert f"{WALL} (2 of 3)" in owner.reads()
    assert everything_stored(owner.window.desk.project) == before
    owner.redoes()
    assert everything_stored(owner.window.desk.project) == after
    assert owner.troubles == []


def test_going_on_without_the_paper_takes_a_reason_that_stays_in_sight(
    owner: Owner, sample_copy: Path
) -> None:
    owner.opens_the_sample_house(sample_copy)
    owner.opens_the_page("Measures")
    owner.chooses_the_measure("Casements instead of sliders")
    owner.goes_on_for_a_reason("The certificate was shown at the door; the copy comes by mail.")
    assert "Going on without" in owner.reads()
    assert "The certificate was shown at the door" in owner.reads()
    overridden = HoldService(owner.window.desk.project).overridden()
    assert any("old sliders" in view.sentence for view in overridden)

    owner.undoes()
    assert SLIDERS in owner.reads()
    assert owner.troubles == []


def test_a_newcomer_finds_something_on_every_page(owner: Owner, sample_copy: Path) -> None:
    owner.opens_the_sample_house(sample_copy)
    for word in (
        "At hand",
        "House",
        "Measures",
        "Quotes",
        "Permits",
        "Worth",
        "Money",
        "Packets",
        "Papers & photos",
    ):
        owner.opens_the_page(word)
        assert len(owner.reads()) > 400, word
    owner.changes("Other units (US customary, SI)")
    owner.changes("Light or dark paper")
    assert owner.troubles == []
