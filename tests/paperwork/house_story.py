"""An invented split-level in Greensboro, North Carolina, with everything a packet can show."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from datetime import UTC, date, datetime
from io import BytesIO
from pathlib import Path

from retrofit_desk.paperwork import contents as c
from retrofit_desk.rules.matching import Readiness
from retrofit_desk.values.figure import Figure
from retrofit_desk.values.quantity import Dimension
from retrofit_desk.values.stated import Stated, StatedValue

MADE_ON = date(2026, 11, 20)
UNKNOWN = StatedValue[int](None, Stated.UNKNOWN)


def known(value):
    return StatedValue(value)


def figure(value, low, high, unit, source="savings sum, hourly typical year"):
    return Figure(value, low, high, unit, source, date(2026, 11, 18))


def cover(kind=c.PacketKind.REBATE):
    return c.Cover(
        kind=kind,
        reader=c.Party("Claims desk", "Piedmont Home Comfort Programme", "PO Box 4410, Raleigh, NC 27699"),
        owner=c.Party(
            "Marta Quill and Dev Quill", "", "2218 Larkmoor Drive, Greensboro, NC 27455", "336-555-0148"
        ),
        project="Larkmoor house",
        address="2218 Larkmoor Drive, Greensboro, NC 27455",
        made_on=MADE_ON,
        purpose="Claim for the ground-source heat pump, the heat-pump water heater and the attic insulation, "
        "with everything the programme asks for.",
        reference="reservation PHC-26-03317",
        accounts=("Guilford Gas, account 7710-22-0391", "Yadkin Light & Power, account 40-118-7726"),
    )


READINESS = (
    c.ReadinessLine(
        "Reservation letter", Readiness.HAVE, "dated Mar 3, 2026, before the contract was signed"
    ),
    c.ReadinessLine("Itemized invoice, heat pump", Readiness.HAVE, "equipment and labor told apart"),
    c.ReadinessLine(
        "Serial number, heat pump",
        Readiness.DOES_NOT_MATCH,
        'Nameplate photo says GW4-O2187, invoice says GW4-02187: "O" and "0" look alike (character 4).',
        "Look at the plate again; ask Deep Run Geothermal for a corrected invoice.",
    ),
    c.ReadinessLine(
        "Proof of income",
        Readiness.OUT_OF_DATE,
        "dated Jul 2, 2026; not older than 90 days is wanted",
        "File a new one.",
    ),
    c.ReadinessLine("Equipment match certificate", Readiness.MISSING, "", "Ask Deep Run Geothermal for it."),
    c.ReadinessLine("Final inspection, mechanical", Readiness.HAVE, "passed Oct 30, 2026"),
)

HOUSE = c.HousePart(
    year_built=known(1964),
    stories="split-level, 3 half stories",
    after_is="as built on Nov 18, 2026, with what is committed as planned",
    quantities=(
        c.QuantityLine(
            "Heated floor area", Dimension.AREA, known(171.9), known(171.9), "plan, taped Feb 2026"
        ),
        c.QuantityLine(
            "Design heat loss", Dimension.POWER, known(14800.0), known(7150.0), "worked out, 99% at −8 °C"
        ),
        c.QuantityLine("Design cooling", Dimension.POWER, known(9900.0), known(5400.0), "worked out"),
        c.QuantityLine(
            "Annual hot water", Dimension.ENERGY, StatedValue(None, Stated.UNKNOWN), known(920.0), ""
        ),
    ),
    elements=(
        c.ElementLine(
            "North and east walls, bedrooms",
            62.4,
            "brick veneer, 2x4 empty",
            "same, dense-pack cellulose, wood-fiber sheathing 60 mm",
            known(1.32),
            known(0.34),
        ),
        c.ElementLine(
            "Attic slopes",
            48.0,
            "fiberglass batts 90 mm, gaps",
            "dense-pack cellulose 235 mm",
            known(0.62),
            known(0.18),
        ),
        c.ElementLine(
            "South windows, living room",
            7.2,
            "aluminum slider, single",
            "casement, double clear",
            known(6.1),
            known(1.6),
            known(0.72),
            known(0.58),
        ),
        c.ElementLine(
            "Den floor on ground",
            24.5,
            "slab, bare",
            "slab, bare",
            StatedValue(None, Stated.UNKNOWN),
            StatedValue(None, Stated.UNKNOWN),
        ),
    ),
    machines=(
        c.MachineLine("Heating", "gas furnace 88 kBtu/h, 1991", "ground-source heat pump, radiant floors"),
        c.MachineLine("Hot water", "gas storage 40 gal, 2009", "heat-pump water heater 65 gal"),
        c.MachineLine("Storage", "", "thermal storage tank 120 gal"),
    ),
    leakage=(
        c.LeakageLine(date(2026, 2, 11), "as found", 1.404, known(11.8), "Tarn Building Science"),
        c.LeakageLine(
            date(2026, 8, 6), "attic and rim joists sealed", 0.755, known(6.3), "Tarn Building Science"
        ),
    ),
)

MEASURES = (
    c.MeasurePart(
        title="Ground-source heat pump on three bores",
        state="in place",
        where="utility room, side yard",
        scope="Water-to-water heat pump, three bores of 60 m, header, purge set, buffer, controls.",
        done_by="Deep Run Geothermal LLC",
        license=known("NC 31877 H3"),
        installed_on=date(2026, 10, 14),
        cost_cents=known(2_684_000),
        items=(
            c.InstalledLine("water-to-water heat pump", "Norrvik", "WW-24/3", known("GW4-O2187")),
            c.InstalledLine("buffer tank", "Halden", "BT-60", known("77-190-2231-A"), "1"),
            c.InstalledLine("HDPE loop, SDR 11", "", "", StatedValue(None, Stated.EXCLUDED), "3 x 120 m"),
            c.InstalledLine(
                "circulator, ground side", "Norrvik", "C-140", StatedValue(None, Stated.NOT_STATED)
            ),
        ),
        settings=(
            c.SettingLine("supply at design", "95 °F"),
            c.SettingLine("cooling supply, least", "62 °F, dew point limit on"),
        ),
        tests=(
            c.TestLine(
                "Ground loop pressure",
                "100 psi to 100 psi, 30 min",
                "100 psi for 15 min",
                date(2026, 9, 2),
                "L. Oduya",
                True,
                "mechanical code, ground-source piping (local sheet)",
            ),
            c.TestLine(
                "Purge, bore 2",
                "2.1 ft/s for 15 min",
                "2 ft/s for 15 min",
                date(2026, 9, 3),
                "L. Oduya",
                True,
            ),
            c.TestLine(
                "Floor tubing before the pour",
                "100 psi, start only",
                "100 psi for 30 min",
                date(2026, 9, 18),
                "M. Quill",
                None,
            ),
        ),
        change_from_plan="Buffer moved to the east wall, 0.4 m from the drain.",
        still_open=("floor tubing test: end value and witness",),
        photos=("nameplate", "bore 2 with tape", "header before backfill"),
    ),
    c.MeasurePart(
        title="Heat-pump water heater",
        state="signed off",
        where="utility room",
        scope="65 gal, ducted to the hall, condensate to the floor drain.",
        done_by="owner's own work; electrical by Brandt Electric Inc.",
        license=StatedValue(None, Stated.NOT_STATED),
        installed_on=date(2026, 6, 27),
        cost_cents=known(312_450),
        items=(c.InstalledLine("heat-pump water heater", "Calda", "HX65", known("C65B80114")),),
        settings=(c.SettingLine("tank temperature", "125 °F with mixing valve at 120 °F"),),
        tests=(c.TestLine("Relief valve", "opens and closes", "", date(2026, 6, 27), "D. Quill", True),),
    ),
    c.MeasurePart(
        title="Solar on two roof planes",
        state="priced",
        where="roof, south and west",
        scope="5.4 kW south, 2.7 kW west.",
        done_by="",
        license=StatedValue(None, Stated.UNKNOWN),
        installed_on=None,
        cost_cents=StatedValue(None, Stated.UNKNOWN),
    ),
)

_GAS = (4480, 3700, 2900, 1500, 760, 520, 480, 470, 560, 1350, 2600, 4050)
_POWER = (610, 560, 590, 560, 780, 1060, 1320, 1260, 910, 590, 560, 620)

YEARS = c.YearsPart(
    figures=(
        ("Net present value (NPV)", "−$9,120", "20 years"),
        ("Savings to investment (SIR)", "0.61", "1 is even"),
    ),
    months=tuple(c.CashMonth(month, 31_000, 12_000, 20_500) for month in range(1, 13)),
    how=("Constant dollars, end-of-year flows.",),
)

SAVINGS = c.SavingsPart(
    made_on=date(2026, 11, 18),
    method=(
        "Each measure is a change to the described house or its equipment. The house is worked out hour by "
        "hour over the typical year of the Greensboro station, with rooms as zones, real sun and the "
        "recorded leakage.",
        "The model was fitted to 24 months of bills; monthly CV(RMSE) 8.4%, NMBE 1.1%, inside the limits "
        "of ASHRAE Guideline 14-2014 for monthly data (15% and 5%).",
    ),
    is_out_of_date=False,
    years=YEARS,
    fingerprint="3fa94c0be1d2776f00aa11",
    headline=(
        c.NamedFigure("Fuel removed", figure(21900.0, 19800.0, 23370.0, "kWh/year"), Dimension.GAS),
        c.NamedFigure("Electricity added", figure(3100.0, 2500.0, 3900.0, "kWh/year"), Dimension.ENERGY),
        c.NamedFigure(
            "Bills saved", figure(98_400, 71_000, 124_000, "cents/year"), None, "prices of Nov 2026"
        ),
        c.NamedFigure("Simple payback", figure(24.1, 18.9, 33.8, "years"), None),
        c.NamedFigure(
            "Carbon saved in use", figure(3820.0, 3100.0, 4510.0, "kg/year"), None, "CO2 equivalent"
        ),
    ),
    months=tuple(
        c.MonthOfFuel(i + 1, float(gas), 0.0 if i else 40.0, float(power), power + gas * 0.16)
        for i, (gas, power) in enumerate(zip(_GAS, _POWER, strict=True))
    ),
    steps=(
        c.LineUpStep(
            "Air sealing",
            "proven",
            figure(3300.0, 2400.0, 4100.0, "kWh/year"),
            figure(-190.0, -260.0, -90.0, "kWh/year"),
            figure(17_800, 12_600, 22_400, "cents/year"),
            known(184_000),
        ),
        c.LineUpStep(
            "Dense-pack cellulose in the attic slopes",
            "signed off",
            figure(4100.0, 3300.0, 4800.0, "kWh/year"),
            figure(-240.0, -300.0, -150.0, "kWh/year"),
            figure(22_100, 17_000, 26_000, "cents/year"),
            known(468_500),
        ),
        c.LineUpStep(
            "Ground-source heat pump and radiant floors",
            "in place",
            figure(11700.0, 10200.0, 12900.0, "kWh/year"),
            figure(2980.0, 2500.0, 3500.0, "kWh/year"),
            figure(30_600, 14_000, 46_000, "cents/year"),
            known(3_984_000),
        ),
        c.LineUpStep(
            "Heat-pump water heater",
            "signed off",
            figure(2300.0, 1900.0, 2700.0, "kWh/year"),
            figure(640.0, 520.0, 790.0, "kWh/year"),
            figure(4_900, 800, 8_100, "cents/year"),
            known(312_450),
        ),
        c.LineUpStep(
            "Gas account closed",
            "committed",
            figure(500.0, 400.0, 600.0, "kWh/year"),
            figure(150.0, 120.0, 200.0, "kWh/year"),
            figure(23_000, 22_000, 24_000, "cents/year"),
            StatedValue(None, Stated.NOT_STATED),
        ),
    ),
)

MONEY = c.MoneyPart(
    contracts=(
        c.ContractLine(
            "Deep Run Geothermal LLC",
            "heat pump and bores",
            date(2026, 4, 2),
            known(2_640_000),
            44_000,
            2_281_400,
            134_200,
        ),
        c.ContractLine(
            "Pell Insulation Co.", "attic slopes", date(2026, 5, 11), known(468_500), 0, 468_500, 0
        ),
        c.ContractLine(
            "Ostrow Siding",
            "sheathing and siding, north",
            None,
            StatedValue(None, Stated.NOT_STATED),
            0,
            0,
            0,
        ),
    ),
    payments=(
        c.PaymentLine(date(2026, 4, 2), "Deep Run Geothermal LLC", "deposit", 264_000, "signed contract"),
        c.PaymentLine(
            date(2026, 9, 9),
            "Deep Run Geothermal LLC",
            "stage 2, bores",
            1_056_000,
            "loop test, progress waiver",
        ),
        c.PaymentLine(
            date(2026, 10, 21), "Deep Run Geothermal LLC", "stage 3, equipment set", 961_400, "start-up sheet"
        ),
        c.PaymentLine(date(2026, 6, 3), "Pell Insulation Co.", "in full", 468_500, "final waiver"),
    ),
    rebates=(
        c.RebateLine(
            "Piedmont Home Comfort, heat pump",
            "Ground-source heat pump",
            known(400_000),
            "reserved",
            date(2026, 12, 31),
            date(2026, 12, 13),
            "programme sheet of Jan 15, 2026",
        ),
        c.RebateLine(
            "Federal 25C",
            "Heat-pump water heater",
            known(0),
            "ended",
            None,
            None,
            "IRS FS-2025-05, Aug 21, 2025",
        ),
        c.RebateLine(
            "State appliance rebate",
            "Heat-pump water heater",
            UNKNOWN,
            "check with the state",
            None,
            None,
            "guidance of mid-2026, text not seen",
        ),
    ),
    loans=(
        c.LoanLine(
            "Haw River Credit Union",
            known(2_200_000),
            1_650_000,
            known("6.25"),
            known("6.41"),
            "120 months, draws against finished stages",
        ),
    ),
)

PERMITS = (
    c.PermitLine(
        "Mechanical",
        known("M-26-1180"),
        "City of Greensboro, inspections",
        "heat pump, radiant floors",
        "issued",
        date(2026, 5, 20),
        date(2027, 4, 28),
        (
            c.InspectionLine("Rough mechanical", date(2026, 9, 21), "passed"),
            c.InspectionLine(
                "Final mechanical",
                date(2026, 10, 30),
                "failed",
                ("label the loop flush valves",),
                ("insulate the last 3 ft of supply pipe",),
            ),
        ),
    ),
    c.PermitLine(
        "Well or bore",
        StatedValue(None, Stated.UNKNOWN),
        "County environmental health",
        "three bores",
        "final",
        date(2026, 6, 2),
        None,
        (c.InspectionLine("Grouting", date(2026, 8, 27), "passed"),),
    ),
)

OVERRIDES = (
    c.OverrideLine(
        "Don't pour the den floor until the tubing test is complete",
        "end value and witness of the test",
        "Pump truck on site; tubing held 100 psi for the whole pour, gauge photo at start.",
        "Marta Quill",
        date(2026, 9, 18),
    ),
)

CAUTIONS = (
    c.CautionLine(
        "Electricity", "Panel and service work is for licensed electricians; the utility must cut the supply."
    ),
    c.CautionLine("Scalding", "A tank above 120 °F needs a mixing valve; local code sets the limit."),
    c.CautionLine(
        "Lead paint",
        "Built before 1978: paid work that disturbs paint is for firms certified under 40 CFR 745.",
    ),
)

SOURCES = (
    c.SourceLine("Weather", "typical meteorological year of station 723170, Greensboro", date(2005, 1, 1)),
    c.SourceLine("Electricity prices", "Yadkin Light & Power, schedule R-TOU", date(2026, 10, 1)),
)


def letter_pdf(words: str, pages: int = 1, size=(612, 792)) -> bytes:
    """A plain PDF of its own, as a firm would send it."""
    from reportlab.pdfgen.canvas import Canvas

    held = BytesIO()
    canvas = Canvas(held, pagesize=size, invariant=1)
    for page in range(1, pages + 1):
        canvas.setFont("Helvetica-Bold", 16)
        canvas.drawString(72, size[1] - 90, words)
        canvas.setFont("Helvetica", 11)
        canvas.drawString(72, size[1] - 120, f"sheet {page} of {pages}")
        canvas.rect(36, 36, size[0] - 72, size[1] - 72)
        canvas.showPage()
    canvas.save()
    return held.getvalue()


def photo(words: str, *, size=(900, 675), kind="JPEG", place=False) -> bytes:
    """A drawn stand-in for a photo; with `place` its EXIF block says where it was taken."""
    from PIL import Image, ImageDraw

    image = Image.new("RGB", size, (203, 196, 182))
    draw = ImageDraw.Draw(image)
    for x in range(0, size[0], 60):
        draw.line((x, 0, x, size[1]), fill=(120, 110, 95), width=4)
    draw.rectangle((160, 200, size[0] - 160, 380), fill=(240, 240, 236), outline=(40, 40, 40), width=4)
    draw.text((190, 250), words, fill=(20, 20, 20), font_size=44)
    held = BytesIO()
    exif = Image.Exif()
    if place:
        exif[0x0110] = "Roadcam 7"
        exif.get_ifd(0x8825).update({1: "N", 2: (36.0, 7.0, 12.0), 3: "W", 4: (79.0, 48.0, 3.0)})
    image.save(held, kind, **({"exif": exif} if kind == "JPEG" else {}))
    return held.getvalue()


def paper(folder: Path, name: str, content: bytes, title: str, kind: str, **more) -> c.PaperItem:
    path = folder / name
    path.write_bytes(content)
    return c.PaperItem(path, title, kind, hashlib.sha256(content).hexdigest(), **more)


def filed(folder: Path) -> tuple[c.PaperItem, ...]:
    """Papers of every kind that a packet meets, good and bad."""
    lost = paper(folder, "lost.pdf", letter_pdf("Warranty"), "Warranty registration", "warranty")
    lost.path.unlink()
    return (
        paper(
            folder,
            "a.pdf",
            letter_pdf("Reservation PHC-26-03317", 2),
            "Reservation letter",
            "reservation letter",
            dated_on=date(2026, 3, 3),
        ),
        paper(
            folder,
            "b.pdf",
            letter_pdf("Invoice 4471 Deep Run", 1),
            "Invoice, heat pump",
            "invoice",
            dated_on=date(2026, 10, 21),
            about="Ground-source heat pump",
            private=frozenset({c.Private.PRICES}),
        ),
        paper(folder, "c.pdf", letter_pdf("Roof plan", 1, (1224, 792)), "Roof plan, large sheet", "drawing"),
        paper(
            folder,
            "d.jpg",
            photo("SERIAL GW4-O2187", place=True),
            "Nameplate of the heat pump",
            "photo",
            dated_on=date(2026, 10, 14),
            about="utility room",
            geotag="36.12000, −79.80083",
            private=frozenset({c.Private.GEOTAG}),
            taken_at=datetime(2026, 10, 14, 15, 22, tzinfo=UTC),
        ),
        paper(
            folder,
            "e.png",
            photo("bore 2", size=(600, 900), kind="PNG"),
            "Bore 2 with tape, looking north",
            "photo",
            dated_on=date(2026, 9, 2),
            about="side yard",
        ),
        paper(
            folder,
            "f.pdf",
            letter_pdf("Income 2025"),
            "Tax return 2025",
            "income proof",
            private=frozenset({c.Private.INCOME}),
        ),
        paper(folder, "g.pdf", b"%PDF-1.7 and then nothing of use", "Start-up sheet", "commissioning sheet"),
        paper(folder, "h.heic", b"no picture at all", "Header before backfill", "photo"),
        lost,
    )


def packet(folder: Path, kind: c.PacketKind = c.PacketKind.REBATE) -> c.PacketContents:
    return c.PacketContents(
        cover=cover(kind),
        readiness=READINESS,
        house=HOUSE,
        measures=MEASURES,
        savings=SAVINGS,
        money=MONEY,
        permits=PERMITS,
        overrides=OVERRIDES,
        cautions=CAUTIONS,
        sources=SOURCES,
        papers=filed(folder),
        request=REQUEST if kind is c.PacketKind.CONTRACTOR else None,
        visit=VISIT if kind is c.PacketKind.INSPECTOR else None,
    )


REQUEST = c.RequestPart(
    measure="Solar on two roof planes",
    answer_by=date(2026, 12, 12),
    load_heating_w=known(7150.0),
    load_at_c=known(-8.0),
    load_based_on="house with attic and walls done (version 3)",
    scope=(
        c.ScopeLine("Array on the south and west planes, rapid shutdown", "roof plan is among the papers"),
        c.ScopeLine("Structural letter"),
        c.ScopeLine("Interconnection application and permission to operate"),
        c.ScopeLine("Permit and fees", "electrical permit"),
    ),
    to_state=("exact models of modules, inverter and racking", "license and insurance with their end dates"),
)

VISIT = c.VisitPart(
    inspection="Final mechanical, second visit",
    permit="Mechanical permit M-26-1180",
    on=date(2026, 12, 1),
    window="8 to 12",
    ready=(
        c.ReadinessLine("Maker's instructions on site", Readiness.HAVE, "manual, 48 pages"),
        c.ReadinessLine("Loop test sheet", Readiness.HAVE, "Sep 2, 2026"),
    ),
    earlier_corrections=("label the loop flush valves",),
)


def with_papers(contents: c.PacketContents, papers: tuple[c.PaperItem, ...]) -> c.PacketContents:
    return replace(contents, papers=papers)
