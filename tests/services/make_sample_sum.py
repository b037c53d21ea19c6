"""Works the sample house's savings sum out anew and writes it down, so that the sample shows it at once.

    .venv/bin/python tests/services/make_sample_sum.py

Takes about a minute. To be run after anything changed that goes into the sum: the sample's record, the
shipped tables, the description of a house, the engine.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

from retrofit_desk.records.shipped import shipped_folder
from retrofit_desk.services.sample import SUM, make_sample
from retrofit_desk.services.worth import WorthService


def main() -> None:
    with tempfile.TemporaryDirectory() as folder, make_sample(Path(folder) / "Sample house") as project:
        service = WorthService(project)
        service.savings()
        (shipped_folder("assets") / "sample_house" / SUM).write_bytes(service.exported())


if __name__ == "__main__":
    main()
