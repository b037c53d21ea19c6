"""Older projects open after a checked backup; newer ones are refused; models and migrations agree."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Column, String, create_engine, inspect, select

from retrofit_desk.records import models, upgrade
from retrofit_desk.records.backup import Reason, list_backups
from retrofit_desk.records.database import database_of
from retrofit_desk.records.errors import ProjectTooNew, UpgradeFailed
from retrofit_desk.records.models import ActionKind, Base
from retrofit_desk.records.project import Project
from retrofit_desk.records.shipped import shipped_folder
from tests.records.builders import a_measure, everything_stored

OLD = Path(__file__).parent / "old"

STEP_AHEAD = """
import sqlalchemy as sa
from alembic import op

revision = "step_ahead"
down_revision = {down!r}
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("measure", sa.Column("nickname", sa.String(), nullable=False, server_default="none yet"))
    {then}
"""


@pytest.fixture
def a_step_ahead(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The program of tomorrow: one more migration than today's. Returns the added script."""
    folder = tmp_path / "migrations"
    shutil.copytree(shipped_folder("migrations"), folder, ignore=shutil.ignore_patterns("__pycache__"))
    script = folder / "versions" / "step_ahead.py"
    script.write_text(STEP_AHEAD.format(down=upgrade.SCHEMA_REVISION, then="pass"))
    monkeypatch.setattr(upgrade, "shipped_folder", lambda name: folder)
    monkeypatch.setattr(upgrade, "SCHEMA_REVISION", "step_ahead")
    return script


@pytest.fixture
def closed_project(tmp_path: Path) -> Path:
    with Project.create(tmp_path / "house") as made, made.action("Add") as work:
        work.session.add(a_measure("from before", cost_cents=1_234_56))
    return made.path


def test_the_migrations_lead_to_what_the_models_say() -> None:
    engine = create_engine("sqlite://")
    with engine.begin() as connection:
        config = upgrade.migrations_config()
        config.attributes["connection"] = connection
        upgrade._run(connection)
        assert compare_metadata(MigrationContext.configure(connection), Base.metadata) == []
        checks = {table: _checks(inspect(connection), table) for table in Base.metadata.tables}
    fresh = create_engine("sqlite://")
    Base.metadata.create_all(fresh)
    assert checks == {table: _checks(inspect(fresh), table) for table in Base.metadata.tables}


def _checks(inspector: object, table: str) -> set[str]:
    return {check["sqltext"] for check in inspector.get_check_constraints(table)}  # type: ignore[attr-defined]


def test_the_newest_migration_is_the_one_the_program_knows() -> None:
    script = ScriptDirectory.from_config(upgrade.migrations_config())
    assert script.get_heads() == [upgrade.SCHEMA_REVISION]


def test_a_developers_command_writes_the_next_migration(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "migrations"
    shutil.copytree(shipped_folder("migrations"), folder, ignore=shutil.ignore_patterns("__pycache__"))
    monkeypatch.setattr(upgrade, "shipped_folder", lambda name: folder)
    nickname = Column("nickname", String(), server_default="none yet", nullable=False)
    Base.metadata.tables["measure"].append_column(nickname)
    try:
        command.revision(upgrade.migrations_config(), "a nickname", autogenerate=True, rev_id="next")
    finally:
        Base.metadata.tables["measure"]._columns.remove(nickname)
    written = (folder / "versions" / "next_a_nickname.py").read_text()
    assert "nickname" in written
    assert "create_table" not in written  # it starts from the newest form, not from nothing
    assert f"down_revision = '{upgrade.SCHEMA_REVISION}'" in written


def test_an_older_project_is_backed_up_and_upgraded(closed_project: Path, a_step_ahead: Path) -> None:
    with Project.open(closed_project) as project:
        with project.session() as session:
            assert session.scalars(select(models.Measure.cost_cents)).all() == [1_234_56]
            nickname = session.connection().exec_driver_sql("SELECT nickname FROM measure").scalar_one()
        assert nickname == "none yet"
        assert project.history()[0].kind is ActionKind.UPGRADED
        assert project.undo_title is None  # rows of the older form are not put back
        made = project.backups()
    assert [one.reason for one in made] == [Reason.UPGRADE]
    with sqlite3.connect(made[0].folder / "project.sqlite") as old:
        assert "nickname" not in [row[1] for row in old.execute("PRAGMA table_info(measure)")]


def test_a_day_before_the_upgrade_can_still_be_looked_at(closed_project: Path, a_step_ahead: Path) -> None:
    with Project.open(closed_project) as project:
        first = project.history()[-1].at
        with project.action("Later") as work:
            work.session.get_one(models.Measure, 1).title = "from after"
        with project.as_of(first) as past, past.session() as session:
            assert session.scalars(select(models.Measure.title)).all() == ["from before"]


def test_an_upgrade_that_fails_leaves_the_project_as_it_was(closed_project: Path, a_step_ahead: Path) -> None:
    a_step_ahead.write_text(STEP_AHEAD.format(down="0001", then='raise RuntimeError("a row nobody foresaw")'))
    before = database_of(closed_project).read_bytes()
    with pytest.raises(UpgradeFailed, match="stands as before, and a backup was made"):
        Project.open(closed_project)
    assert database_of(closed_project).read_bytes() == before
    assert [one.reason for one in list_backups(closed_project)] == [Reason.UPGRADE]


def test_an_older_project_is_read_without_being_touched(closed_project: Path, a_step_ahead: Path) -> None:
    before = database_of(closed_project).read_bytes()
    with Project.open(closed_project, read_only=True) as project, project.session() as session:
        assert session.connection().exec_driver_sql("SELECT nickname FROM measure").scalar_one() == "none yet"
    assert database_of(closed_project).read_bytes() == before
    assert list_backups(closed_project) == []


def test_a_project_of_a_newer_program_is_refused_unchanged(closed_project: Path) -> None:
    with sqlite3.connect(database_of(closed_project)) as database:
        database.execute("UPDATE alembic_version SET version_num = 'from_the_future'")
    before = database_of(closed_project).read_bytes()
    for read_only in (False, True):
        with pytest.raises(ProjectTooNew, match="newer version") as told:
            Project.open(closed_project, read_only=read_only)
        assert "\n" not in str(told.value)
    assert database_of(closed_project).read_bytes() == before


def test_a_house_recorded_before_trees_and_clocks_keeps_what_it_has(tmp_path: Path) -> None:
    path = tmp_path / "old.retrofit"
    path.mkdir()
    with sqlite3.connect(database_of(path)) as database:
        database.executescript((OLD / "0002.sql").read_text(encoding="utf-8"))
        database.executescript(
            """
            INSERT INTO horizon_point (azimuth_deg, altitude_deg) VALUES (0.0, 12.0);
            INSERT INTO thermal_bridge (surface_id, name, length_m, psi_w_mk, source)
                VALUES (1, 'Eave', 4.1, 0.08, 'a sum');
            INSERT INTO opening (surface_id, key, name, kind, operation, hinge, width_m, height_m, sill_m,
                count, u_value_is, shgc_is, shgc, coating, fill_gas, frame, overhang_depth_m,
                overhang_above_head_m, overhang_left_m, overhang_right_m, left_fin_depth_m, left_fin_gap_m,
                right_fin_depth_m, right_fin_gap_m, reveal_m, shade, shade_solar_factor, shade_rule, notes)
                VALUES (1, 'w', 'Window', 'window', 'fixed', 'none', 1.2, 1.1, 0.9,
                1, 'unknown', 'known', 0.55, '', '', 'wood', 0.0,
                0.0, 0.0, 0.0, 0.0, 0.0,
                0.0, 0.0, 0.0, 'awning', 0.3, 'drawn in summer sun', '');
            """
        )
    with Project.open(path) as project, project.session() as session:
        window = session.scalars(select(models.Opening)).one()
        assert (window.shade_solar_factor, window.shade_rule) == (0.3, "drawn in summer sun")
        assert (window.shgc_by_angle, window.shade_from_hour, window.shade_to_month) == (None, None, None)
        assert session.scalars(select(models.HorizonPoint.altitude_deg)).all() == [12.0]
        assert session.scalars(select(models.ThermalBridge.psi_w_mk)).all() == [0.08]
        assert session.scalars(select(models.TreeStand)).all() == []


@pytest.mark.parametrize("dump", sorted(OLD.glob("*.sql")), ids=lambda dump: dump.stem)
def test_projects_made_by_every_earlier_form_still_open(tmp_path: Path, dump: Path) -> None:
    path = tmp_path / "old.retrofit"
    path.mkdir()
    with sqlite3.connect(database_of(path)) as database:
        database.executescript(dump.read_text(encoding="utf-8"))
    with Project.open(path) as project:
        with project.session() as session:
            titles = session.scalars(select(models.Measure.title).order_by(models.Measure.id)).all()
            cost = session.scalars(select(models.Measure)).first().stated("cost_cents")  # type: ignore[union-attr]
        assert titles == ["Seal the attic", "Induction range"]
        assert cost.value == 98_765
        with project.action("Go on") as work:
            work.session.add(a_measure("new"))
        project.undo()
        assert len(everything_stored(project)["measure"]) == 2
