"""The tariff of a meter is chosen in the window, from the known ones or from the owner's own file."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import select

from retrofit_desk.records import models as m
from retrofit_desk.records.project import Project
from retrofit_desk.records.shipped import shipped_folder
from retrofit_desk.records.tariff_files import TariffDamaged
from retrofit_desk.services.meters import MeterService
from retrofit_desk.services.tariff_entry import TariffEntryService, TariffUnclear, WrittenTariff
from retrofit_desk.services.worth import WorthService
from tests.services.small_house import a_recorded_house

SUMMER = date(2026, 6, 1)


def meter_of(project: Project, fuel: str) -> int:
    return next(one.id for one in MeterService(project).meters() if one.fuel == fuel)


def own_file(folder: Path, **changed: str) -> Path:
    """A time-of-day tariff as an owner would write it down."""
    text = (shipped_folder("shared") / "tariffs" / "carraway-time-of-day.toml").read_text(encoding="utf-8")
    for old, new in {"carraway-time-of-day": "time-of-day-2026", "invented": "from the sheet"}.items():
        text = text.replace(old, new)
    for old, new in changed.items():
        text = text.replace(old, new)
    path = folder / "tariff.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_sample_is_offered_its_own_invented_tariffs_and_another_house_none(
    sample_project: Project, tmp_path: Path
) -> None:
    service = TariffEntryService(sample_project)
    power = service.of_meter(meter_of(sample_project, "electricity"))
    gas = service.of_meter(meter_of(sample_project, "natural gas"))
    assert power is not None
    assert gas is not None
    assert {one.key for one in power.offers} == {"carraway-residential", "carraway-time-of-day"}
    assert [one.key for one in gas.offers] == [gas.now] == ["haw-bend-residential-gas"]
    with a_recorded_house(tmp_path / "other") as other:
        offered = [
            one.key
            for meter in MeterService(other).meters()
            for sheet in [TariffEntryService(other).of_meter(meter.id)]
            if sheet is not None
            for one in sheet.offers
        ]
    assert not [key for key in offered if key.startswith(("tern", "ebbing"))]


def test_another_tariff_makes_the_sum_out_of_date_and_undo_takes_it_back(sample_project: Project) -> None:
    service, worth = TariffEntryService(sample_project), WorthService(sample_project)
    meter = meter_of(sample_project, "electricity")
    assert worth.changed_since() == ()
    told = service.choose(meter, WrittenTariff("carraway-time-of-day", SUMMER, "Letter of May"))
    assert told.startswith("Carraway Light and Power, time of day bills")
    assert "the tariff" in " ".join(worth.changed_since())
    with sample_project.session() as session:
        rows = session.scalars(
            select(m.TariffChoice).where(m.TariffChoice.meter_id == meter).order_by(m.TariffChoice.starts_on)
        ).all()
        assert [(one.tariff_key, one.ends_on) for one in rows] == [
            ("carraway-residential", SUMMER),
            ("carraway-time-of-day", None),
        ]
    sample_project.undo()
    assert worth.changed_since() == ()


def test_a_file_of_the_owners_own_is_checked_kept_and_counts(sample_project: Project, tmp_path: Path) -> None:
    service = TariffEntryService(sample_project)
    meter = meter_of(sample_project, "electricity")
    service.choose(meter, WrittenTariff("", SUMMER, file=own_file(tmp_path)))
    sheet = service.of_meter(meter)
    assert sheet is not None
    assert sheet.now == "time-of-day-2026"
    shown = next(one for one in MeterService(sample_project).meters() if one.id == meter)
    assert shown.tariff_source.startswith("Carraway Light and Power, schedule R-T")
    # the same file again is no other tariff; another one of its key would change bills of the past
    service.choose(meter, WrittenTariff("", SUMMER, file=own_file(tmp_path)))
    with pytest.raises(TariffUnclear, match="known already"):
        service.choose(meter, WrittenTariff("", SUMMER, file=own_file(tmp_path, **{"14.00": "15.00"})))


@pytest.mark.parametrize(
    ("changed", "wrong", "told"),
    [
        ({"0.2380": "dear"}, TariffDamaged, "charges.0"),
        ({"time-of-day-2026": "../../elsewhere"}, TariffUnclear, "small letters"),
        ({'unit = "kWh"': 'unit = "therm"'}, TariffUnclear, "counts by the therm"),
    ],
)
def test_a_file_that_cannot_be_is_one_line(
    sample_project: Project, tmp_path: Path, changed: dict[str, str], wrong: type[Exception], told: str
) -> None:
    service = TariffEntryService(sample_project)
    meter = meter_of(sample_project, "electricity")
    before = service.of_meter(meter)
    with pytest.raises(wrong, match=told):
        service.choose(meter, WrittenTariff("", SUMMER, file=own_file(tmp_path, **changed)))
    now = service.of_meter(meter)
    assert before is not None
    assert now is not None
    assert now == before
    assert not (sample_project.own_tables / "tariffs").exists()


def test_a_tariff_is_chosen_once_it_applies(sample_project: Project) -> None:
    meter = meter_of(sample_project, "electricity")
    with pytest.raises(TariffUnclear, match="begins only"):
        TariffEntryService(sample_project).choose(
            meter, WrittenTariff("carraway-time-of-day", date(2031, 1, 1))
        )
