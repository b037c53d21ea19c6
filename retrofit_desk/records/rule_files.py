"""Rule files of programmes: where they lie, read strictly, each fault with its entry."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from retrofit_desk.records.models.papers import PaperKind
from retrofit_desk.records.table_rows import TableDamaged, text_of, toml_text
from retrofit_desk.rules.programme_file import Programme

_FAULTS = {"missing": "this entry is missing", "extra_forbidden": "no rule file has an entry of this name"}
"""The commonest faults in the owner's words, by the reader's name of them."""


def rule_files(tables: Path) -> list[Path]:
    """Those in a folder of tables."""
    return sorted((tables / "programmes").glob("*.toml"))


def read_programme(path: Path) -> Programme:
    return programme_of(text_of(path), path.name)


def programme_of(text: str, place: str) -> Programme:
    """The programme of a rule file's text. Raises `TableDamaged` with `place` and the entry that is wrong."""
    from pydantic import ValidationError

    try:
        programme = Programme.model_validate(toml_text(text, place))
    except ValidationError as error:
        raise _fault(dict(error.errors()[0]), place) from error
    for at, version in enumerate(programme.versions):
        for nth, document in enumerate(version.documents):
            for kind in document.papers:
                if kind not in set(PaperKind):
                    raise TableDamaged(
                        f"versions.{at}.documents.{nth}.papers: '{kind}' is no kind of paper",
                        where=place,
                        do="take one of the kinds that the form for filing offers",
                    )
    return programme


def recorded_programme(key: str, text: str) -> Programme:
    """The same of a rule in the record, which no one can correct in place."""
    place = f"The rule “{key}” in the record"
    try:
        return programme_of(text, place)
    except TableDamaged as trouble:
        way_out = "take a corrected file in, or this one out, under Money, Rebates due"
        raise TableDamaged(trouble.what, where=place, do=way_out) from trouble


def _fault(first: dict[str, Any], place: str) -> TableDamaged:
    entry = ".".join(str(part) for part in first["loc"])
    what = _FAULTS.get(first["type"], str(first["msg"]).removeprefix("Value error, "))
    told = f"{entry}: {what}" if entry else what
    return TableDamaged(told, where=place, do="correct this entry")
