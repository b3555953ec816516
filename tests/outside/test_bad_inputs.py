"""What is no part: exit 2, one line that says so, nothing left behind."""

import io

import numpy as np
import PIL.Image
import pytest

from conftest import ROOT, check

WHOLE = (ROOT / "models/cable_clip.stl").read_bytes()


def picture():
    with io.BytesIO() as out:
        PIL.Image.new("RGB", (64, 64), "gray").save(out, "png")
        return out.getvalue()


def not_numbers():
    """Every coordinate is NaN: no facet is left to keep."""
    record = np.frombuffer(WHOLE[84:], dtype=[("normal", "<f4", 3), ("corners", "<f4", 9), ("attribute", "<u2")]).copy()
    record["corners"] = np.nan
    return WHOLE[:84] + record.tobytes()


TEXT = """solid clip
 facet normal 0 0 1
  outer loop
   vertex 0 0 0
   vertex 1 zero 0
   vertex 0 1 0
  endloop
 endfacet
endsolid clip
"""
BAD = {
    "missing": None,
    "folder": "folder",
    "empty": b"",
    "header_only": WHOLE[:80],
    "no_facets": WHOLE[:80] + bytes(4),
    "truncated": WHOLE[: len(WHOLE) // 2],
    "not_numbers": not_numbers(),
    "broken_text": TEXT.encode(),
    "picture": picture(),
    "words": b"This is a note about a mold, and no part at all.\n",
}


@pytest.mark.parametrize("kind", BAD)
def test_is_refused_in_one_line(kind, tmp_path):
    path, out = tmp_path / "part.stl", tmp_path / "out"
    if BAD[kind] == "folder":
        path.mkdir()
    elif BAD[kind] is not None:
        path.write_bytes(BAD[kind])
    answer = check(path, out)
    assert answer.code == 2, (answer.out, answer.err)
    assert answer.out == ""
    assert len(answer.err.splitlines()) == 1 and answer.err.strip(), answer.err
    assert "panicked" not in answer.err and "part.stl" in answer.err
    assert not out.exists() or not any(out.rglob("*"))
