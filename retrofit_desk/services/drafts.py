"""Half-finished entries: what was typed into a form that was not recorded yet."""

from __future__ import annotations

import json

from sqlalchemy import select

from retrofit_desk.records.models.settings import Preference
from retrofit_desk.records.project import Project


class DraftService:
    """Keeps a form's fields by the form's key; outside the history, since nothing was recorded."""

    def __init__(self, project: Project) -> None:
        self._project = project

    def read(self, form: str) -> dict[str, str]:
        """The fields' texts by their names; empty when nothing is half finished."""
        with self._project.session() as session:
            row = session.scalar(select(Preference).where(Preference.key == _key(form)))
        return {} if row is None else {str(name): str(text) for name, text in json.loads(row.value).items()}

    def keep(self, form: str, fields: dict[str, str]) -> None:
        """Keep what is typed so far."""
        if self._project.is_read_only:
            return
        with self._project.outside_history() as work:
            row = work.session.scalar(select(Preference).where(Preference.key == _key(form)))
            if row is None:
                row = Preference(key=_key(form), value="")
                work.session.add(row)
            row.value = json.dumps(fields, ensure_ascii=False, sort_keys=True)

    def drop(self, form: str) -> None:
        """The entry was recorded or thrown away."""
        if self._project.is_read_only:
            return
        with self._project.outside_history() as work:
            row = work.session.scalar(select(Preference).where(Preference.key == _key(form)))
            if row is not None:
                work.session.delete(row)


def _key(form: str) -> str:
    return f"half-finished {form}"
