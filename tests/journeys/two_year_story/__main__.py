"""Play the story and draw every page on its five days."""

from __future__ import annotations

import sys
from pathlib import Path

from tests.journeys.two_year_story import CHAPTERS, FIVE_DAYS, play
from tests.journeys.two_year_story.pictures import draw_pages


def main(arguments: list[str]) -> int:
    """Into the folder that is named, or beside the program."""
    folder = Path(arguments[0] if arguments else "two-year-story")
    folder.mkdir(parents=True, exist_ok=True)
    story = play(folder / "Quillback Lane")
    with story.project:
        draw_pages(story.project, FIVE_DAYS, folder)
    sys.stdout.write(f"played {len(CHAPTERS)} chapters into {story.project.path}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
