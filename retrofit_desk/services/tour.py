"""What a machine without a display is shown: the sample house, its savings sum and two packets."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from retrofit_desk.records.project import Project
from retrofit_desk.services.packets import PacketService
from retrofit_desk.services.sample import make_sample, sample_folder
from retrofit_desk.services.worth import WorthService
from retrofit_desk.services.worth_words import savings_lines
from retrofit_desk.values.quantity import count_text

Tell = Callable[[str], None]


def take_tour(tell: Tell) -> None:
    """Make or open the sample, work out its savings, write its rebate and lender packets, tell it all."""
    with _sample(tell) as project:
        worth = WorthService(project)
        if worth.latest() is None or worth.is_out_of_date():
            tell("Working out the savings sum, hour by hour over a typical year …")
            found = worth.savings()
        else:
            kept = worth.latest()
            assert kept is not None
            found = kept
        for line in savings_lines(found):
            tell(line)
        packets = PacketService(project)
        made = [packets.make(kind, _packet_path(project.path, kind)) for kind in ("rebate", "lender")]
        tell("")
        tell(f"The sample house: {project.path}")
        for kind, packet in zip(("rebate", "lender"), made, strict=True):
            tell(f"Its {kind} packet: {packet.path} ({count_text(packet.pages, 'page')})")
            for line in packet.readiness_lines:
                tell(f"  {line}")


def _sample(tell: Tell) -> Project:
    folder = sample_folder()
    if folder.is_dir():
        return Project.open(folder)
    tell("Making the sample house …")
    return make_sample(folder)


def _packet_path(project: Path, kind: str) -> Path:
    return project.with_name(f"{project.stem}, {kind} packet.pdf")
