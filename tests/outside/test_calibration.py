"""The table of shots that the tests of the calibration read is what the other solver makes."""

import json
import pathlib

import numpy as np

from shots_through_the_gap import draw

TABLE = pathlib.Path(__file__).parents[1] / "fill" / "shots_through_the_gap.json"


def test_the_table_is_of_the_other_solver():
    rows = json.loads(TABLE.read_text())
    assert len(rows) == 50
    random = np.random.default_rng(20)
    again, row = draw(random), rows[0]
    assert np.allclose(again["weighed"], row["weighed"], atol=2e-5)
    assert np.allclose(again["needed_pa"], row["needed_pa"], rtol=1e-5)
