"""The pressures of a half filled cup, solved again by SciPy."""

import json
import pathlib

import numpy as np
import scipy.sparse
import scipy.sparse.linalg

EQUATIONS = pathlib.Path(__file__).parents[2] / "target" / "tmp" / "fill_equations.json"


def test_pressures_of_an_instant():
    assert EQUATIONS.exists(), "run cargo test before: it writes the equations"
    seen = json.loads(EQUATIONS.read_text())
    row, column, value = np.array(seen["triplets"]).T
    cells, place = np.unique(row.astype(int), return_inverse=True)
    at = np.searchsorted(cells, column.astype(int))
    assert np.array_equal(cells[at], column.astype(int)), "a column that has no row"
    matrix = scipy.sparse.coo_matrix((value, (place, at))).tocsc()
    assert abs(matrix - matrix.T).max() < 1e-12 * abs(matrix).max()
    pressure = scipy.sparse.linalg.spsolve(matrix, np.array(seen["right"])[cells])
    ours = np.array(seen["pressure"])
    assert len(cells) > 500
    assert np.abs(ours[cells] - pressure).max() < 1e-6
    # Elsewhere no melt is, or the gate is.
    rest = np.setdiff1d(np.arange(len(ours)), cells)
    assert np.all(ours[rest] == 0.0)
