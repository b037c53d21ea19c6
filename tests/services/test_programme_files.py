"""Rule files of the owner's: checked whole, part of the record with its history, and taken out again."""

from __future__ import annotations

import json
import shutil
import tomllib
from datetime import date
from pathlib import Path

import jsonschema
import pytest

from retrofit_desk.exchange.programme_schema import programme_schema
from retrofit_desk.records import models as m
from retrofit_desk.records.errors import OnlyForReading
from retrofit_desk.records.project import Project
from retrofit_desk.records.shipped import shipped_folder
from retrofit_desk.records.tables import TableDamaged, Tables, tables_of
from retrofit_desk.services.past import PastService, restored
from retrofit_desk.services.programme_files import RuleFileService, RuleFileUnclear
from retrofit_desk.services.programmes import ProgrammeService
from retrofit_desk.values.stated import StatedValue
from tests.services.test_programme_entry import offered

TOWN = """key = "town-trees"
name = "Town windows"
office = "Town hall"
[[versions]]
starts_on = 2026-01-01
checked_on = 2026-11-01
funding = "open"
date_tested = "invoiced"
kinds = ["casement_windows"]
amount = { kind = "flat", flat_dollars = 250 }
source = { title = "Town notice 4", retrieved = 2026-11-01, confidence = "published" }
"""
WARM_WALLS = "triad-warm-walls"
SHARE = "share = 0.20"
"""What the shipped rule of the invented fund pays."""


@pytest.fixture
def files(sample_project: Project) -> RuleFileService:
    return RuleFileService(sample_project)


@pytest.fixture
def walls(tmp_path: Path) -> Path:
    """The fund's rule with another share, as its office sent it."""
    text = (shipped_folder("shared") / "programmes" / f"{WARM_WALLS}.toml").read_text(encoding="utf-8")
    assert SHARE in text
    path = tmp_path / "from the office.toml"
    path.write_text(text.replace(SHARE, "share = 0.15"), encoding="utf-8")
    return path


def share(project: Project) -> str:
    """What the fund pays by the rule that counts."""
    return str(tables_of(project).programme(WARM_WALLS).versions[-1].amount.share)


def lay_beside(project: Project, text: str = TOWN, name: str = "town-trees.toml") -> Path:
    """A file in the project's folder, as older projects have them."""
    folder = project.own_tables / "programmes"
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_a_rule_taken_in_is_one_undo_step_and_the_shipped_one_counts_again_after_undo(
    sample_project: Project, files: RuleFileService, walls: Path
) -> None:
    # REB-14: what applied on a day stays answerable; here by the record's own history
    assert share(sample_project) == "0.2"
    told = files.take_in(walls)
    assert "takes the place of the one before. Undo takes it back" in told
    assert share(sample_project) == "0.15"
    assert not sample_project.own_tables.exists()
    assert sample_project.undo() == "Take in the rule of Triad Warm Walls Fund"
    assert (share(sample_project), files.own()) == ("0.2", ())
    sample_project.redo()
    assert share(sample_project) == "0.15"


def test_a_day_before_the_rule_was_taken_in_shows_the_shipped_one(
    sample_project: Project, files: RuleFileService, walls: Path
) -> None:
    before = sample_project.last_saved
    assert before is not None
    files.take_in(walls)
    with sample_project.as_of(before) as past:
        assert share(past) == "0.2"
        assert RuleFileService(past).own() == ()
        with pytest.raises(OnlyForReading):
            RuleFileService(past).take_in(walls)
    with sample_project.as_of(sample_project.now()) as past:
        assert share(past) == "0.15"


def test_a_backup_holds_the_rules_that_were_taken_in(sample_copy: Path, walls: Path) -> None:
    with Project.open(sample_copy) as project:
        RuleFileService(project).take_in(walls)
        backup = project.backup_now()
        RuleFileService(project).take_out(WARM_WALLS)
        assert share(project) == "0.2"
    restored(sample_copy, backup)
    with Project.open(sample_copy) as project:
        assert share(project) == "0.15"


def test_a_rule_is_taken_out_again_in_one_undo_step(
    sample_project: Project, files: RuleFileService, walls: Path
) -> None:
    files.take_in(walls)
    assert [one.name for one in files.own()] == ["Triad Warm Walls Fund"]
    assert "the one last checked Nov 12, 2026 counts again" in files.take_out(WARM_WALLS)
    assert (share(sample_project), files.own()) == ("0.2", ())
    assert sample_project.undo() == "Take out the rule of Triad Warm Walls Fund"
    assert share(sample_project) == "0.15"
    sample_project.redo()
    with pytest.raises(RuleFileUnclear, match="not in the record"):
        files.take_out(WARM_WALLS)


def test_the_history_says_what_became_another_and_puts_it_back(
    sample_project: Project, files: RuleFileService, walls: Path
) -> None:
    files.take_in(walls)
    walls.write_text(walls.read_text(encoding="utf-8").replace("0.15", "0.25"), encoding="utf-8")
    files.take_in(walls)
    past = PastService(sample_project)
    row = past.changed(past.lines()[0].action_id)[0]
    assert row.what == f"rule file “{WARM_WALLS}”"
    assert [change[1:] for change in row.columns] == [("15%", "25%")]
    past.put_back(row)
    assert share(sample_project) == "0.15"


def test_a_rule_that_forgets_earlier_days_is_told(files: RuleFileService, walls: Path) -> None:
    text = walls.read_text(encoding="utf-8").replace("starts_on = 2025-04-01", "starts_on = 2026-02-01")
    walls.write_text(text, encoding="utf-8")
    assert "It says nothing of days before Feb 1, 2026, as the one before did." in files.take_in(walls)


def test_a_damaged_rule_in_the_record_is_one_clear_line_and_can_be_taken_out(
    sample_project: Project, files: RuleFileService
) -> None:
    with sample_project.action("From outside") as work:
        work.session.add(m.RuleFile(programme_key="town-trees", text=TOWN.replace("flat_dollars", "flat")))
    with pytest.raises(TableDamaged) as trouble:
        ProgrammeService(sample_project).view()
    line = trouble.value.line()
    assert line == (
        "The rule “town-trees” in the record: versions.0.amount.flat: no rule file has an entry of this "
        "name. Take a corrected file in, or this one out, under Money, Rebates due."
    )
    (own,) = files.own()
    assert (own.is_damaged, own.words) == (True, line)
    files.take_out(own.key)
    assert ProgrammeService(sample_project).view().chosen


def test_a_file_in_the_projects_folder_counts_and_is_taken_into_the_record(
    sample_project: Project, files: RuleFileService
) -> None:
    path = lay_beside(sample_project)
    line = offered(sample_project, "town-trees")
    assert (line.amount_cents, line.checked_on) == (StatedValue(250_00), date(2026, 11, 1))
    (own,) = files.own()
    assert own.path == path
    assert "undo and a look at the past do not know it" in own.words
    files.take_in(path)
    assert [one.path for one in files.own()] == [None]
    lay_beside(sample_project, TOWN.replace("= 250", "= 900"))
    assert offered(sample_project, "town-trees").amount_cents == StatedValue(250_00)  # the record's counts
    sample_project.undo()
    assert offered(sample_project, "town-trees").amount_cents == StatedValue(900_00)


def test_a_fault_in_a_file_of_the_projects_folder_is_told_with_its_name(
    sample_project: Project, files: RuleFileService
) -> None:
    lay_beside(sample_project, TOWN.replace("flat_dollars", "flat_dollar"))
    with pytest.raises(TableDamaged, match=r"town-trees\.toml: versions\.0\.amount"):
        ProgrammeService(sample_project).view()
    assert [one.is_damaged for one in files.own()] == [True]


def test_a_programme_is_told_once_whatever_its_file_is_called(
    sample_project: Project, files: RuleFileService, tmp_path: Path
) -> None:
    shipped = shipped_folder("shared") / "programmes" / "federal-homes.toml"  # its key is another word
    mine = Path(shutil.copy(shipped, tmp_path / "mine.toml"))
    text = mine.read_text(encoding="utf-8").replace('office = "', 'office = "My ')
    lay_beside(sample_project, text, "a name of my own.toml")
    assert tables_of(sample_project).programme("federal-homes-modeled").office == "My State energy office"
    files.take_in(mine)
    keys = [one.key for one in tables_of(sample_project).programmes]
    assert keys == sorted(one.key for one in Tables().programmes)


def test_a_rule_file_is_checked_whole_before_it_is_taken_in(
    sample_project: Project, files: RuleFileService, tmp_path: Path
) -> None:
    path = tmp_path / "any name.toml"
    path.write_text(TOWN.replace("kinds =", "kind ="))
    with pytest.raises(TableDamaged, match=r"any name\.toml: versions\.0\.kinds: this entry is missing"):
        files.take_in(path)
    papers = 'documents = [{ key = "x", label = "X", papers = ["receit"] }]\nsource ='
    path.write_text(TOWN.replace("source =", papers))
    with pytest.raises(TableDamaged, match=r"documents\.0\.papers: 'receit' is no kind of paper"):
        files.take_in(path)
    path.write_text(TOWN.replace("versions", "versions ="))
    with pytest.raises(TableDamaged, match=r"any name\.toml: cannot be read") as trouble:
        files.take_in(path)
    assert "\n" not in trouble.value.line()
    with pytest.raises(RuleFileUnclear, match=r"gone\.toml: cannot be read: No such file"):
        files.take_in(tmp_path / "gone.toml")
    assert files.own() == ()
    path.write_text(TOWN, encoding="utf-8-sig")  # as some editors save it
    assert "last checked Nov 1, 2026, counts from now on" in files.take_in(path)
    assert offered(sample_project, "town-trees").office == "Town hall"


def test_a_rule_written_out_is_taken_in_again_as_it_was(
    sample_project: Project, files: RuleFileService, tmp_path: Path
) -> None:
    path = tmp_path / "to change.toml"
    assert ("federal-25c", "Federal credit for home improvement (25C)") in files.programmes()
    assert "programme.schema.json beside it" in files.write_out("federal-25c", path)
    jsonschema.Draft202012Validator.check_schema(json.loads((tmp_path / "programme.schema.json").read_text()))
    assert path.read_text(encoding="utf-8").startswith("# The rule file of a programme")
    files.take_in(path)
    assert tables_of(sample_project).programme("federal-25c") == Tables().programme("federal-25c")
    once = path.read_text(encoding="utf-8")
    files.write_out("federal-25c", path)
    assert path.read_text(encoding="utf-8") == once
    with pytest.raises(RuleFileUnclear, match="Choose another folder"):
        files.write_out("federal-25c", tmp_path / "no folder" / "x.toml")


def test_the_published_form_of_a_rule_file_is_the_one_that_is_read() -> None:
    published = (shipped_folder("shared") / "programme.schema.json").read_text(encoding="utf-8")
    assert published == programme_schema()
    assert "Programmes that may not pay for the same upgrade." in published  # the fields say what they mean
    for name in ("carraway-ground-heat", "federal-25c", "federal-hear", "triad-warm-walls"):
        shipped = (shipped_folder("shared") / "programmes" / f"{name}.toml").read_text(encoding="utf-8")
        rule = json.loads(json.dumps(tomllib.loads(shipped), default=str))
        jsonschema.validate(rule, json.loads(published))
    del rule["versions"][0]["source"]
    with pytest.raises(jsonschema.ValidationError, match="'source' is a required property"):
        jsonschema.validate(rule, json.loads(published))
