"""Sets of measures, likely ranges and the fit to the bills of the sample house; their memory and growth.

Every row is a ratio of two things measured in this run, a rate for two cores, or memory in MiB.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from retrofit_desk.estimate import ranges
from retrofit_desk.estimate.line_up import LineUp
from retrofit_desk.estimate.scenario import Simulator
from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.physics.description import House
from retrofit_desk.physics.engine import run_loads
from retrofit_desk.records.project import Project
from retrofit_desk.services.bills_fit import BillsFitService
from retrofit_desk.services.sample import make_sample
from retrofit_desk.services.worth import Ask, WorthService
from tests.bench.ratio import Ratio, best_seconds
from tests.physics.houses import BOARD, BRICK, ISO_FILMS, WOOL, box

ROOT = Path(__file__).resolve().parents[2]
SETS, SETS_A_SECOND = 1024, 60.0
LEFT_OUT = (
    "radiant_floor",
    "thermal_storage",
    "gas_account_closed",
)  # they need others: not every set can stand
DRAWS = 500
MEMORY_MIB = 1024.0

ONE_YEAR_FROM_NOTHING = """
import sys
from pathlib import Path
from retrofit_desk.records.project import Project
from retrofit_desk.services.worth import WorthService
from retrofit_desk.estimate.scenario import simulator_for
with Project.open(Path(sys.argv[1])) as project:
    ask = WorthService(project).asked()
    ask.line_up(simulator_for(ask.weather)).year(0)
"""

PEAK_MEMORY = """
import sys
from pathlib import Path
from retrofit_desk.records.project import Project
from retrofit_desk.services.worth import WorthService
with Project.open(Path(sys.argv[1])) as project:
    service = WorthService(project)
    service.savings()
    if sys.argv[2] == "parts":
        service.fair_parts()
# of this program alone: what getrusage tells may be the highest of the one that started it
status = Path("/proc/self/status").read_text()
print(int(status.split("VmHWM:")[1].split()[0]) / 1024)
"""


def rows() -> list[Ratio]:
    """All of them on one sample house, then growth on houses and line-ups of rising size."""
    with tempfile.TemporaryDirectory() as folder:
        with make_sample(Path(folder) / "sample.retrofit") as project:
            path, ask = project.path, WorthService(project).asked()
            fit = _fit(project, ask)
        rows = [*_sets(ask, path), *_range(ask), fit, *_growth_of_measures(ask), *_growth_of_rooms()]
        return [*rows, _memory("savings_sum", path, "sum"), _memory("fair_parts", path, "parts")]


def _ten(ask: Ask, count: int = 10) -> LineUp:
    """Ten measures of which every set can stand, on a simulator that knows nothing yet."""
    chosen = [one for one in ask.chosen if one.kind.key not in LEFT_OUT][:count]
    return LineUp(ask.belief.house(ask.described), chosen, Simulator(ask.weather), ask.terms)


def _quietly(share: float, doing: str) -> None:
    pass


def _seconds_of_sets(ask: Ask, count: int = 10) -> float:
    """All sets with plant and tariff; building the houses of the sets is in it."""
    line_up = _ten(ask, count)
    return best_seconds(lambda: line_up.run_sets(line_up.possible_sets(), _quietly), 1)


def _sets(ask: Ask, path: Path) -> list[Ratio]:
    if len(_ten(ask).possible_sets()) != SETS:
        raise AssertionError("not every set of the ten measures can stand together")
    _ten(ask).year(0)  # compiled code is read
    rate = SETS / min(_seconds_of_sets(ask) for _ in range(2))
    cold = best_seconds(lambda: _run(ONE_YEAR_FROM_NOTHING, str(path)), 1)
    return [
        Ratio.at_least("sets_of_ten_measures_a_second_warm", rate, SETS_A_SECOND),
        Ratio.at_most("cold_start_in_sets_of_ten_measures", cold * rate, SETS),
        Ratio.at_least("sets_of_ten_measures_a_second_with_cold_start", SETS / (SETS / rate + cold), 40.0),
    ]


def _range(ask: Ask) -> list[Ratio]:
    """The likely range against running the line-up once for each draw."""
    simulator = Simulator(ask.weather)
    line_up = ask.line_up(simulator)
    once = best_seconds(lambda: line_up.in_its_place(_quietly), 1)
    exact = line_up.in_its_place(_quietly)
    begun = time.perf_counter()
    asked = (ask.described, ask.belief, ask.chosen, simulator, ask.terms)
    response = ranges.responses(*asked, _quietly)
    ranges.draw(exact, response, ask.belief, DRAWS)
    range_s = time.perf_counter() - begun
    few, many = (
        best_seconds(lambda n=n: ranges.draw(exact, response, ask.belief, n)) for n in (DRAWS, 4 * DRAWS)
    )
    return [
        Ratio.at_least("range_of_500_draws_against_a_run_for_each", DRAWS * once / range_s, 15.0),
        Ratio.at_most("growth_of_drawing_from_500_to_2000_draws", many / few, 6.0),
    ]


def _fit(project: Project, ask: Ask) -> Ratio:
    """The fit to two years of all bills, counted in years of one new house."""
    from retrofit_desk.estimate.factors import HOUSE_FACTORS

    simulator = Simulator(ask.weather)
    moved = [factor.shift(ask.described, 0.1) for factor in HOUSE_FACTORS]
    year = min(best_seconds(lambda case=case: simulator.year(case), 1) for case in moved)
    fit = best_seconds(lambda: BillsFitService(project).fit(), 1)
    return Ratio.at_most("fit_to_two_years_of_bills_in_house_years", fit / year, 300.0)


def _memory(name: str, path: Path, what: str) -> Ratio:
    return Ratio.at_most(f"peak_memory_of_{name}_mib", float(_run(PEAK_MEMORY, str(path), what)), MEMORY_MIB)


def _run(program: str, *arguments: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", program, *arguments], cwd=ROOT, check=True, capture_output=True, text=True
    )
    return done.stdout


def _growth_of_measures(ask: Ask) -> list[Ratio]:
    """Two more measures are four times as many sets."""
    taken = {count: _seconds_of_sets(ask, count) for count in (4, 6, 8)}
    return [
        Ratio.at_most(
            f"growth_of_all_sets_from_{few}_to_{few + 2}_measures", taken[few + 2] / taken[few], 5.0
        )
        for few in (4, 6)
    ]


def _growth_of_rooms() -> list[Ratio]:
    """Twice the rooms have twice the nodes: modes take up to eight times as long, hours four times."""
    weather, taken = greensboro(), {}
    for rooms in (2, 4, 8, 16):
        new = [row_of_rooms(rooms, 40.0 + 0.1 * number) for number in range(3)]  # no fabric is known
        taken[rooms] = min(best_seconds(lambda house=house: run_loads(house, weather), 1) for house in new)
    return [
        Ratio.at_most(
            f"growth_of_a_house_year_from_{few}_to_{2 * few}_rooms", taken[2 * few] / taken[few], 6.0
        )
        for few in (2, 4, 8)
    ]


def row_of_rooms(count: int, volume_m3: float) -> House:
    """Rooms in a row, each with two outer walls, a window, a roof and a floor, and a wall to the next."""
    surfaces: list[dict[str, Any]] = []
    glass = {"name": "glass", "glazing": "clear", "width_m": 1.2, "height_m": 1.3, "films": ISO_FILMS}
    out, held = {"kind": "outdoors"}, {"kind": "fixed_temperature", "temperature_c": 14.0}
    for room in range(count):
        face = {"zone": f"room {room}", "construction": "layers", "films": ISO_FILMS, "boundary": out}
        surfaces += [
            {**face, "name": f"{room} a", "azimuth_deg": 180, "area_m2": 10.0, "windows": [glass]},
            {**face, "name": f"{room} b", "azimuth_deg": 0, "area_m2": 10.0},
            {**face, "name": f"{room} over", "tilt_deg": 0, "area_m2": 16.0},
            {**face, "name": f"{room} under", "tilt_deg": 180, "area_m2": 16.0, "boundary": held},
        ]
        if room + 1 < count:
            beside = {"construction": "partition", "boundary": {"kind": "zone", "zone": f"room {room + 1}"}}
            surfaces.append({**face, **beside, "name": f"{room} inner", "area_m2": 10.0})
    common = {"volume_m3": volume_m3, "leakage": {"air_changes_per_h": 0.4}, "gains": [{"power_w": 60.0}]}
    zones = [
        {**common, "name": f"room {room}", "thermostat": {"heating_c": 20.0 - 0.1 * room, "cooling_c": 26.0}}
        for room in range(count)
    ]
    described = {**box(), "name": "row", "zones": zones, "surfaces": surfaces}
    described["constructions"] = [
        {"name": "layers", "layers": [{**BRICK, "thickness_m": 0.09}, WOOL, BOARD]},
        {"name": "partition", "layers": [BOARD, {**WOOL, "density_kg_m3": 0}, BOARD]},
    ]
    return House.model_validate(described)
