"""The people who live through the story: their house, the day it is, and what was written down so far."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

from retrofit_desk.records.project import Project
from retrofit_desk.rules.holds import NotYet
from retrofit_desk.values.stated import Stated, StatedValue
from tests.journeys.papers import a_letter, a_photo
from tests.journeys.two_year_story.clock import StoryClock
from tests.journeys.two_year_story.house import found_house

FIRST = date(2025, 11, 10)
UNKNOWN: StatedValue[Any] = StatedValue(None, Stated.UNKNOWN)


@dataclass
class Story:
    """The house on the desk, the day it is, and the ids of what was written down so far."""

    project: Project
    clock: StoryClock
    post: Path
    """Where papers lie before they are filed."""
    ids: dict[str, int] = field(default_factory=dict)
    said: dict[str, str] = field(default_factory=dict)
    """What the program answered where it refused."""

    @property
    def today(self) -> date:
        return self.clock.today

    def ask(self, service: Callable[[Project], Any]) -> Any:
        return service(self.project)

    def letter(self, words: str) -> Path:
        return a_letter(self.post / f"{words[:40]}.pdf".replace("/", " "), f"{words}\n{self.today}")

    def photo(self, words: str) -> Path:
        return a_photo(self.post / f"{words}.jpg", f"{words} {self.today}")

    def refused(self, name: str, action: Callable[[], object], kind: type[Exception] = NotYet) -> None:
        """The program must refuse this; its sentence is kept."""
        try:
            action()
        except kind as error:
            self.said[name] = str(error)
        else:
            raise AssertionError(f"{name}: nothing held it back")


Chapter = Callable[[Story], None]
CHAPTERS: list[tuple[date, Chapter]] = []


def on(year: int, month: int, day: int) -> Callable[[Chapter], Chapter]:
    """The day of a chapter."""

    def told(chapter: Chapter) -> Chapter:
        CHAPTERS.append((date(year, month, day), chapter))
        return chapter

    return told


def play(folder: Path, until: date = date.max) -> Story:
    """Live through the story up to a day; its project stays open."""
    clock = StoryClock(FIRST)
    story = Story(found_house(folder, clock), clock, Path(mkdtemp(prefix="post-")))
    for day, chapter in sorted(CHAPTERS, key=lambda one: one[0]):
        if day > until:
            break
        clock.set(day)
        chapter(story)
    shutil.rmtree(story.post, ignore_errors=True)
    return story
