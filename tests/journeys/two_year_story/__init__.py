"""Two years of the house, from the first idea to the closed gas account and the proven savings.

    python -m tests.journeys.two_year_story FOLDER

plays the story into FOLDER and draws every page of the window on five of its days. Each chapter is one day
of the owners: what they do stands in it, through the services that the window uses.
"""

from datetime import date

from tests.journeys.two_year_story import chapters as chapters
from tests.journeys.two_year_story.story import CHAPTERS, Story, play

FIVE_DAYS = (
    date(2026, 3, 6),
    date(2026, 6, 1),
    date(2026, 9, 18),
    date(2026, 12, 9),
    date(2028, 1, 15),
)
"""Asked for the reservation; payment stopped and wall open; reservation lost; no heat; proven."""

__all__ = ["CHAPTERS", "FIVE_DAYS", "Story", "play"]
