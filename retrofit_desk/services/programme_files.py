"""Rule files of programmes that the owner wrote or got: checked whole, then kept with the project."""

from __future__ import annotations

from pathlib import Path

from retrofit_desk.records.project import Project
from retrofit_desk.records.table_rows import read_programme
from retrofit_desk.values.dates import day_text
from retrofit_desk.values.errors import DeskError


class RuleFileUnclear(DeskError):
    """A rule file that cannot be taken in."""


class RuleFileService:
    """Kept in the folder of tables beside the record; a file of the same name takes a shipped one's place."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def take_in(self, path: Path) -> str:
        """Copy a rule file that holds what its schema asks for. Returns a line for the owner.

        Raises `TableDamaged` with the entry that is wrong, `RuleFileUnclear`.
        """
        programme = read_programme(path)
        if self._project.is_read_only:
            raise RuleFileUnclear("this project is open for reading only", kept="nothing was copied")
        folder = self._project.own_tables / "programmes"
        target = folder / f"{programme.key}.toml"
        was_there = target.exists()
        try:
            folder.mkdir(parents=True, exist_ok=True)
            target.write_bytes(path.read_bytes())
        except OSError as error:
            raise RuleFileUnclear(
                f"it could not be copied ({error.strerror or error})",
                where=str(target),
                kept="nothing was changed",
            ) from error
        newest = max(one.checked_on for one in programme.versions)
        word = "takes the place of the one before" if was_there else "counts from now on"
        return (
            f"The rule of {programme.name}, last checked {day_text(newest)}, {word}. "
            f"To take it out, remove {target.name} from the project's folder tables/programmes."
        )
