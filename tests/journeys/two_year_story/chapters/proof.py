"""January 2028: the bills prove it."""

from __future__ import annotations

from datetime import date

from retrofit_desk.paperwork.contents import PacketKind
from retrofit_desk.services.did_it_work import DidItWorkService
from retrofit_desk.services.worth import WorthService
from tests.journeys.two_year_story.bills import power_use, read_bills
from tests.journeys.two_year_story.story import Story, on
from tests.journeys.two_year_story.words import packet


@on(2028, 1, 15)
def the_bills_prove_it(story: Story) -> None:
    read_bills(story, "electric-meter", date(2027, 2, 24), date(2028, 1, 15), "kWh", power_use)
    service = story.ask(DidItWorkService)
    for work in service.works():
        service.keep([one.id for one in work.measures])
    story.ask(WorthService).savings()
    packet(story, PacketKind.NEXT_OWNER, "next owner", "kept with the deed", "in the drawer")
