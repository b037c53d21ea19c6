"""Writes the small record that later versions must still open, named after the newest migration."""

from __future__ import annotations

import sqlite3
import sys
import tempfile
from datetime import UTC, date, datetime
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[3]))

from retrofit_desk.records import models
from retrofit_desk.records.database import database_of
from retrofit_desk.records.project import Project
from retrofit_desk.records.upgrade import SCHEMA_REVISION


def fill(project: Project) -> None:
    """Two measures, a room with a wall and a window in it, what stands around, and an undone step."""
    with project.action("Describe the house") as work:
        room = models.Room(
            key="den", name="Den", floor_area_m2=14.2, outline=[[0, 0], [4.1, 0], [4.1, 3.46], [0, 3.46]]
        )
        wall = models.Surface(
            key="den-north",
            name="North wall",
            kind=models.SurfaceKind.WALL,
            boundary=models.Boundary.OUTDOORS,
            area_m2=9.9,
        )
        wall.openings.append(window())
        wall.bridges.append(models.ThermalBridge(name="Eave", length_m=4.1, psi_w_mk=0.08, source="a sum"))
        room.surfaces.append(wall)
        work.session.add(models.Storey(key="lower", name="Lower level", rooms=[room]))
        work.session.add_all(around())
        attic = models.Measure(key="attic", kind="air_sealing", title="Seal the attic", cost_cents=98_765)
        attic.places.append(models.MeasurePlace(room=room))
        attic.later = models.LaterFigures(upkeep_cents=4_500, as_of=date(2026, 4, 18), source="own sum")
        attic.entries.append(
            models.WorkEntry(
                worked_on=date(2026, 4, 18), written_at=datetime(2026, 4, 18, 21, 5, tzinfo=UTC), hours=6.5
            )
        )
        work.session.add(attic)
        stove = models.Measure(key="range", kind="induction_range", title="Induction range")
        work.session.add(stove)
        work.session.add_all(town_and_programme(attic, stove))
    with project.action("Think about the range") as work:
        work.session.get_one(models.Measure, 2).why = "no more gas in the kitchen"
    project.undo()


def window() -> models.Opening:
    """With everything that is recorded of its sun."""
    return models.Opening(
        key="den-window",
        name="Window",
        kind=models.OpeningKind.WINDOW,
        width_m=1.2,
        height_m=1.1,
        shgc=0.55,
        coating="low-e",
        shgc_by_angle=[[0.0, 0.55], [60.0, 0.44]],
        shade=models.ShadeKind.SHUTTER,
        shade_solar_factor=0.15,
        shade_rule="drawn by the clock",
        shade_from_hour=9,
        shade_to_hour=17,
        shade_from_month=5,
        shade_to_month=9,
        shade_sun_above_w_m2=150.0,
        shade_outdoor_above_c=18.0,
        shade_added_resistance_m2k_w=0.2,
    )


def around() -> list[models.Base]:
    """A hill and a stand of trees."""
    oaks = models.TreeStand(
        name="Oaks",
        from_azimuth_deg=135.0,
        to_azimuth_deg=225.0,
        altitude_deg=35.0,
        share_in_leaf=0.2,
        share_bare=0.6,
        leaf_from_month=4,
        leaf_to_month=10,
        source="looked at in July and January",
    )
    return [models.HorizonPoint(azimuth_deg=45.0 * at, altitude_deg=2.0) for at in range(8)] + [oaks]


def town_and_programme(attic: models.Measure, stove: models.Measure) -> list[models.Base]:
    """How the office gives its visits, a day off, a rebate for the house and the rule file it follows."""
    office = models.Firm(key="office", name="Inspections office")
    choice = models.ProgrammeChoice(measure=attic, programme_key="own-programme", is_whole_house=True)
    choice.others.append(models.ChoiceMeasure(measure=stove))
    day_off = models.DayOff(first_on=date(2026, 7, 6), last_on=date(2026, 7, 17), what="at the lake")
    rules = models.RuleFile(programme_key="own-programme", text='key = "own-programme"\n')
    return [office, choice, day_off, rules]


def main() -> None:
    target = Path(__file__).parent / f"{SCHEMA_REVISION}.sql"
    with tempfile.TemporaryDirectory() as folder, Project.create(Path(folder) / "old") as project:
        fill(project)
        with sqlite3.connect(database_of(project.path)) as database:
            target.write_text("\n".join(database.iterdump()) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
