"""What is known by its key is told by the name that the owner gave it."""

from __future__ import annotations

from pathlib import Path

from retrofit_desk.records.project import Project
from retrofit_desk.services.names import Names, NamesService


def test_rooms_faces_and_machines_of_the_sample_have_their_names(sample_folder: Path) -> None:
    with Project.open(sample_folder, read_only=True) as project:
        names = NamesService(project).names()
    assert names.of("kitchen") == "Kitchen and dining"
    assert names.of("south-bedroom-south") == "South wall of South bedroom"
    assert names.of("furnace") == "Gas furnace"


def test_what_is_no_longer_recorded_is_told_by_its_key_made_readable() -> None:
    assert Names().of("sun-porch") == "Sun porch"
    assert Names({"den": "Den"}).known("den, sun-porch") == "Den, sun-porch"
