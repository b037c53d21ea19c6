"""The first sheet: what this is, for whom, from whom, and what stands where."""

from __future__ import annotations

from reportlab.platypus import Flowable, Spacer

from retrofit_desk.paperwork.contents import Cover, PacketContents, Party
from retrofit_desk.paperwork.kinds import PacketProfile, Part
from retrofit_desk.paperwork.layout import BODY, SUBTITLE, TITLE, NeedsOwner, rule, text
from retrofit_desk.paperwork.show import day
from retrofit_desk.paperwork.tables import facts
from retrofit_desk.rules.matching import Readiness


def cover(contents: PacketContents, profile: PacketProfile) -> list[Flowable]:
    """Title block, parties, and what is not ready told before anything else."""
    front = contents.cover
    rows = [
        ("For", _party(front.reader)),
        ("From", _party(front.owner)),
        ("House", front.address),
        ("Made on", day(front.made_on)),
    ]
    rows += [("Reference", front.reference)] if front.reference else []
    rows += [("Accounts", "\n".join(front.accounts))] if front.accounts else []
    story: list[Flowable] = [
        Spacer(1, 22),
        text(front.project, SUBTITLE),
        text(profile.title, TITLE),
        rule(),
        text(front.purpose, BODY),
        Spacer(1, 10),
        facts(rows),
    ]
    return [*story, *_open_matters(contents, profile)]


def _party(party: Party) -> str:
    return "\n".join(part for part in (party.name, party.organization, party.address, party.contact) if part)


def _open_matters(contents: PacketContents, profile: PacketProfile) -> list[Flowable]:
    counts = [(word, sum(1 for line in contents.readiness if line.word is word)) for word in Readiness]
    story: list[Flowable] = []
    if contents.readiness and Part.READINESS in profile.parts:
        told = ", ".join(word.counted(count) for word, count in counts if count)
        is_ready = all(line.word is Readiness.HAVE for line in contents.readiness)
        words = f"Of {len(contents.readiness)} things this packet needs: {told}."
        story.append(text(words) if is_ready else NeedsOwner(words))
    if contents.overrides:
        count = len(contents.overrides)
        were = "holds were" if count > 1 else "hold was"
        told = f"{count} {were} passed without the evidence; the reasons stand under {Part.OVERRIDES.value}."
        story.append(NeedsOwner(told))
    return [Spacer(1, 4), *story] if story else []


def cover_title(front: Cover, profile: PacketProfile) -> str:
    """The document's title in its properties."""
    return f"{profile.title} – {front.project}"
