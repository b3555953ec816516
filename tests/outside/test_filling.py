"""Pressures of a half filled cup by SciPy, ways and order of arrival by scikit-fmm."""

import json
import pathlib

import numpy as np
import scipy.sparse
import scipy.sparse.linalg
import scipy.stats
import skfmm

ORDER = pathlib.Path(__file__).parents[2] / "target" / "tmp" / "fill_order.json"
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


def test_ways_and_order_of_arrival():
    """In a disc of one wall the arrival is a function of the way alone, as in any front
    that a Poisson equation drives from its middle; in a slotted plate only the ways agree."""
    assert ORDER.exists(), "run cargo test before: it writes the ways"
    for index, seen in enumerate(json.loads(ORDER.read_text())):
        at, edge = np.array(seen["at"]), seen["edge"]
        phi = np.ma.MaskedArray(np.ones(at.max(axis=0) + 1), mask=True)
        phi[tuple(at.T)] = 1.0
        phi[tuple(at[seen["home"]])] = -1.0
        ours, marched = np.array(seen["way"]), skfmm.distance(phi, dx=edge, order=1)
        marched = np.asarray(marched[tuple(at.T)])
        far = ours > 5.0
        assert far.sum() > 500
        # It begins at a contour around the first cell, ours in the point itself: the ways
        # differ by about one length, and by less than a cell more in some directions.
        apart = (ours - marched)[far] / edge
        start = np.median(apart)
        assert 0.0 < start < 2.0, start
        assert np.abs(apart - start).max() < 1.0, np.abs(apart - start).max()
        assert np.abs(apart - start).mean() < 0.35, np.abs(apart - start).mean()
        if index == 1:
            order = scipy.stats.spearmanr(marched[far], np.array(seen["time"])[far])
            assert order.statistic > 0.99, order.statistic
