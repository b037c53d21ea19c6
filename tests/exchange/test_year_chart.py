"""The picture of a year."""

from pathlib import Path

import numpy as np
from PIL import Image

from retrofit_desk.exchange.weather import greensboro
from retrofit_desk.exchange.year_chart import write_year_chart
from retrofit_desk.physics.engine import run_year
from tests.estimate.builders import a_house


def test_the_year_becomes_a_picture_with_ink_on_it(tmp_path: Path) -> None:
    path = write_year_chart(run_year(a_house(), greensboro()), tmp_path / "year.png")
    with Image.open(path) as image:
        shades = np.asarray(image.convert("L"))
    assert image.size == (990, 880)
    assert shades.min() < 80
    assert shades.mean() > 150
