"""The page of a mold in a real browser: what it shows is read again from the solids that trimesh opens."""

import base64
import re
import zlib

import axe_playwright_python.sync_playwright as axe
import numpy as np
import pytest
import trimesh

from conftest import ROOT, goodshot
from test_page import changed, chromium, opened, read, scene, settled, unfolded

PLUG = ROOT / "models/bar_end_plug.stl"
# The page stays small enough to be sent by mail.
MOST_BYTES = 3_000_000


@pytest.fixture(scope="module")
def mold(tmp_path_factory):
    out = tmp_path_factory.mktemp("mold")
    done = goodshot("mold", PLUG, "--out", out, "--pull", "+z", "--no-fill", "--quiet")
    assert done.returncode in (0, 1, 3), done.stderr
    return out / PLUG.stem / "mold"


def shown(page):
    """Corners and facets of each half as the page holds them, by the order that pack.rs and unpack.js give."""
    described = scene(page)
    letters = page.locator("#surface").text_content()
    raw = np.frombuffer(zlib.decompress(base64.b64decode(letters)), dtype=np.uint8)
    corners, facets = described["corners"], described["facets"]
    words = [raw[2 * axis * corners:][:corners] + 256 * raw[(2 * axis + 1) * corners:][:corners].astype(np.uint16) for axis in range(3)]
    places = np.stack([np.cumsum(word, dtype=np.uint16) for word in words], axis=1)
    points = np.array(described["low"]) + places * np.array(described["step"])
    # Three places, a normal of two bytes, four values, kind; then the half.
    half = raw[(6 + 2 + 8 + 1) * corners:][:corners]
    longs = raw[(6 + 2 + 8 + 1 + 1 + 1 + 4) * corners:][:4 * 3 * facets].reshape(4, -1).astype(np.int64)
    below = (longs * (256 ** np.arange(4))[:, None]).sum(axis=0)
    indices, following = np.empty_like(below), 0
    for place, distance in enumerate(below):
        indices[place] = following - distance
        following = max(following, indices[place] + 1)
    return points, half, indices.reshape(-1, 3)


def test_the_halves_of_the_page_are_those_of_the_files(mold, chromium):
    assert (mold / "mold.html").stat().st_size < MOST_BYTES
    with opened(chromium, mold / "mold.html") as page:
        points, half, facets = shown(page)
        described = scene(page)
    # The core stands on the side that the report says.
    core_is_plus = re.search(r"Core half \| on the (.) side", (mold / "mold.md").read_text(encoding="utf-8"))[1] == "+"
    for name, code in (("core", int(core_is_plus)), ("cavity", int(not core_is_plus))):
        own = facets[half[facets[:, 0]] == code]
        solid = trimesh.load(mold / f"{name}.stl")
        seen = trimesh.Trimesh(points, own, process=False)
        # Rounded to the 65 534 steps of a box of some 100 mm.
        assert seen.volume == pytest.approx(solid.volume, rel=1e-4), name
        assert np.abs(seen.bounds - solid.bounds).max() <= max(described["step"]), name


def test_it_opens_along_the_pull_and_each_half_is_cut_and_closed(mold, chromium):
    with opened(chromium, mold / "mold.html") as page:
        unfolded(page)
        apart = page.locator("[data-is=apart]")
        assert apart.input_value() == "50"
        # Moving the halves changes the picture, and so does a cut.
        assert changed(page, lambda: apart.fill("0")) > 0.02
        page.get_by_role("button", name="From one side").click()
        settled(page)
        assert changed(page, lambda: page.locator("[data-is=cut-axis]").select_option("eye")) > 0.02
        # The cut face is closed, with the halves apart too.
        for share in ("0", "40"):
            apart.fill(share)
            page.get_by_role("button", name="Whole mold").click()
            page.get_by_role("button", name="From one side").click()
            settled(page)
            box = page.locator("canvas").bounding_box()
            said = set()
            for row in range(2, 19):
                read(page, box["width"] * 0.45, box["height"] * row / 20)
                said.add(page.locator("[data-is=readout]").inner_text())
            assert "cut face" in said, said
            assert not any("inside" in each for each in said), said


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1440])
def test_it_can_be_read_by_everybody(mold, chromium, scheme, width):
    with opened(chromium, mold / "mold.html", color_scheme=scheme, viewport={"width": width, "height": 900}) as page:
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        found = axe.Axe().run(page).response["violations"]
        assert [(each["id"], node["html"][:120]) for each in found for node in each["nodes"]] == []
        # The canvas is turned by keys.
        page.locator("canvas").focus()
        assert changed(page, lambda: page.keyboard.press("ArrowLeft")) > 0.005
