"""Autumn 2026: the water heater, and one letter on a certificate."""

from __future__ import annotations

from datetime import date

from retrofit_desk.records import models as m
from retrofit_desk.records.models.papers import PaperKind, PaperSubject
from retrofit_desk.records.models.programmes import ReservationState
from retrofit_desk.rules.matching import Fact, FactKind
from retrofit_desk.rules.waivers import WaiverKind
from retrofit_desk.services.equipment_entry import EquipmentEntryService
from retrofit_desk.services.machine_values import MachineFacts, WrittenWarranty
from retrofit_desk.services.measures import MeasureService
from retrofit_desk.services.money import MoneyService
from retrofit_desk.services.money_values import WrittenContract
from retrofit_desk.services.papers import Filing, PaperService, Use
from retrofit_desk.services.programme_entry import ProgrammeEntryService
from retrofit_desk.services.quote_values import WrittenStage
from retrofit_desk.services.site_tests import WrittenTest
from retrofit_desk.services.work_log import WrittenItem, WrittenPhoto, WrittenPlace, WrittenSetting
from retrofit_desk.values.stated import StatedValue
from tests.journeys.two_year_story.story import Story, on
from tests.journeys.two_year_story.words import (
    firm,
    machine,
    name_stages,
    pay,
    reserve,
    room,
    waiver,
    write_up,
)


@on(2026, 9, 28)
def a_water_heater_is_ordered(story: Story) -> None:
    story.ids["water choice"] = story.ask(ProgrammeEntryService).choose(
        story.ids["water"], "carraway-water-heating", StatedValue(80_000)
    )
    reserve(
        story,
        "water choice",
        ReservationState.HELD,
        number="CW-26-411",
        asked_on=date(2026, 9, 14),
        held_from=story.today,
        ends_on=date(2026, 12, 27),
    )
    stages = (WrittenStage("When it runs", 392_000, "Hot water at every tap", is_final=True),)
    contract = WrittenContract(
        firm(story, "pennant"),
        story.ids["water"],
        "Heat-pump water heater",
        "PP-818",
        story.today,
        392_000,
        0.0,
        stages,
        story.letter("Contract PP-818, water heater"),
    )
    story.ids["water contract"] = story.ask(MoneyService).record_contract(contract)
    name_stages(story, "water contract")


@on(2026, 10, 14)
def the_water_heater_runs(story: Story) -> None:
    photo = story.photo("nameplate")
    tank = WrittenTest(
        "tank_temperature",
        "Tank temperature",
        StatedValue(51.0),
        "degC",
        gauge="Owner's thermometer",
        witness="Idris Hollowell",
        photo=photo,
    )
    write_up(
        story,
        "water",
        "Pennant, two fitters",
        "Set in the utility room; mixing valve set to 120 F.",
        firm_id=firm(story, "pennant"),
        hours=StatedValue(7.0),
        places=(WrittenPlace(room(story, "utility")),),
        items=(WrittenItem("Heat-pump water heater", "Oskeld", "OK-66H", "OK66-2609-01187"),),
        settings=(WrittenSetting("Tank set point", "124 F"), WrittenSetting("Mode", "heat pump only")),
        tests=(tank,),
        photos=(WrittenPhoto(photo, "Nameplate of the water heater", room(story, "utility")),),
        is_complete=True,
    )
    machines = story.ask(EquipmentEntryService)
    tank_facts = MachineFacts(
        "Heat-pump water heater",
        m.EquipmentKind.HEAT_PUMP_WATER_HEATER,
        fuel=m.Fuel.ELECTRICITY,
        make="Oskeld",
        model="OK-66H",
        serial="OK66-2609-01187",
        room_id=room(story, "utility"),
        measure_id=story.ids["water"],
        installed_on=story.today,
        tested_on=story.today,
        installed_by_firm_id=firm(story, "pennant"),
        heating_capacity_w=StatedValue(1500.0),
    )
    story.ids["new tank"], _effect = machines.record(None, tank_facts)
    cover = WrittenWarranty(
        m.CoverKind.PARTS, story.today, date(2036, 10, 13), register_by=date(2026, 12, 13)
    )
    machines.put_warranty(story.ids["new tank"], None, cover)
    story.ask(EquipmentEntryService).take_out(machine(story, "gas-water-heater"), story.today)
    papers = story.ask(PaperService)
    serves = (
        Use(PaperSubject.EQUIPMENT, story.ids["new tank"]),
        Use(PaperSubject.MEASURE, story.ids["water"]),
    )
    plate = Filing(
        PaperKind.PHOTO,
        "Nameplate, close",
        story.today,
        uses=serves,
        facts=(Fact(FactKind.SERIAL, "OK66-2609-01187"), Fact(FactKind.MODEL, "OK-66H")),
    )
    papers.file(story.photo("nameplate close"), plate)
    certificate = Filing(
        PaperKind.MATCH_CERTIFICATE,
        "Certificate of Pennant",
        story.today,
        uses=serves,
        facts=(Fact(FactKind.SERIAL, "OK66-2609-O1187"), Fact(FactKind.MODEL, "OK-66H")),
    )
    story.ids["wrong certificate"] = papers.file(
        story.letter("Certificate with a wrong serial"), certificate
    ).paper_id
    story.ask(MeasureService).accept_work(story.ids["water"])


@on(2026, 10, 26)
def the_certificate_is_put_right(story: Story) -> None:
    papers = story.ask(PaperService)
    serves = (
        Use(PaperSubject.EQUIPMENT, story.ids["new tank"]),
        Use(PaperSubject.MEASURE, story.ids["water"]),
    )
    right = Filing(
        PaperKind.MATCH_CERTIFICATE,
        "Certificate of Pennant, put right",
        story.today,
        uses=serves,
        facts=(Fact(FactKind.SERIAL, "OK66-2609-01187"), Fact(FactKind.MODEL, "OK-66H")),
    )
    papers.take_out(story.ids["wrong certificate"])
    papers.file(story.letter("Certificate with the right serial"), right)
    waiver(story, "water contract", WaiverKind.CONDITIONAL_FINAL, "water contract:When it runs")
    pay(story, "water contract:When it runs")
