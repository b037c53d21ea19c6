"""Works the sample houses' savings sums out anew and writes them down, so that a sample shows it at once.

    .venv/bin/python tests/services/make_sample_sum.py

Takes about two minutes. To be run after anything changed that goes into the sum: the sample's record, the
shipped tables, the description of a house, the engine.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

from retrofit_desk.services.sample import SAMPLES, SUM, SampleHouse, make_sample
from retrofit_desk.services.worth import WorthService


def work_out(house: SampleHouse) -> None:
    with tempfile.TemporaryDirectory() as folder, make_sample(Path(folder) / house.title, house) as project:
        service = WorthService(project)
        service.savings()
        (house.folder / SUM).write_bytes(service.exported())


def main() -> None:
    for house in SAMPLES.values():
        work_out(house)


if __name__ == "__main__":
    main()
