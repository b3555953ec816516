"""What is written beside the report: other programs must be able to open it."""

import html.parser
import json

import ezdxf
import jsonschema
import numpy as np
import PIL.Image
import pytest
import trimesh

from conftest import BRACKET, ROOT, check, goodshot


def test_the_report_obeys_its_schema(answer):
    printed = goodshot("check", "--schema")
    assert printed.returncode == 0, printed.stderr
    schema = json.loads(printed.stdout)
    jsonschema.validators.validator_for(schema).check_schema(schema)
    jsonschema.validate(answer.report, schema)
    assert json.loads((answer.folder / "report.json").read_text()) == answer.report


def test_the_folder_holds_what_was_promised(answer):
    assert {p.name for p in answer.folder.iterdir()} >= {"report.json", "report.md", "report.html", "maps", "part.ply"}
    assert answer.report["verdict"].replace("_", " ") in (answer.folder / "report.md").read_text().lower()


def test_pictures_open(answer):
    pictures = sorted(answer.folder.glob("maps/*.png"))
    assert pictures
    for path in pictures:
        with PIL.Image.open(path) as picture:
            picture.load()
            assert all(200 <= side <= 4000 for side in picture.size), path.name
            assert len(np.unique(np.asarray(picture.convert("L")))) > 16, f"{path.name} shows nothing"


def test_the_mesh_opens_with_the_same_vertices(answer):
    ply, stl = trimesh.load(answer.folder / "part.ply", process=False), trimesh.load_mesh(BRACKET)
    assert (len(ply.vertices), len(ply.faces)) == (len(stl.vertices), len(stl.faces))
    assert ply.is_watertight
    assert ply.volume == pytest.approx(stl.volume, rel=1e-5)


def test_the_parting_opens_as_a_drawing(answer):
    drawing = ezdxf.readfile(answer.folder / "parting.dxf")
    assert not drawing.audit().has_errors
    assert drawing.units == ezdxf.units.MM
    lines = drawing.modelspace().query("POLYLINE")
    assert len(lines) == answer.report["parting"]["loops"]
    assert {line.dxf.layer for line in lines} <= {"PARTING", "SHUT_OFF", "POCKET"}
    assert all(line.is_closed for line in lines)
    length = 0.0
    for line in lines:
        corners = np.array([tuple(vertex.dxf.location) for vertex in line.vertices])
        length += np.linalg.norm(corners - np.roll(corners, 1, axis=0), axis=1).sum()
    assert length == pytest.approx(answer.report["parting"]["length_mm"], rel=1e-4)


class References(html.parser.HTMLParser):
    """Everything a page would fetch, and tags left open."""

    FETCH = {"src", "href", "srcset", "data", "poster", "action", "xlink:href"}
    ALONE = {"meta", "br", "hr", "img", "input", "link", "area", "base", "col", "embed", "source", "track", "wbr"}

    def __init__(self):
        super().__init__()
        self.fetched, self.open, self.astray = [], [], []

    def handle_starttag(self, tag, attrs):
        self.fetched += [v for k, v in attrs if k in self.FETCH and v and not v.startswith(("#", "data:"))]
        if tag not in self.ALONE:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)
        if tag not in self.ALONE:
            self.open.pop()

    def handle_endtag(self, tag):
        if self.open and self.open[-1] == tag:
            self.open.pop()
        else:
            self.astray.append(tag)


def test_the_page_is_whole_in_itself(answer):
    text = (answer.folder / "report.html").read_text()
    page = References()
    page.feed(text)
    page.close()
    assert page.fetched == []
    assert (page.open, page.astray) == ([], [])
    for word in ("@import", "fetch(", "XMLHttpRequest", "importScripts", "url(http"):
        assert word not in text


def test_several_parts_each_get_a_folder(tmp_path):
    parts = [ROOT / f"models/{name}.stl" for name in ("bar_end_plug", "cable_clip")]
    done = goodshot("check", *parts, "--out", tmp_path, "--unit", "mm", "--plastic", "pp")
    assert done.returncode in (0, 1, 3), done.stderr
    for part in parts:
        assert json.loads((tmp_path / part.stem / "report.json").read_text())["part"]["file"] == part.name


@pytest.mark.parametrize("threads", [None, 1])
def test_the_same_bytes_again(answer, threads, tmp_path):
    again = check(BRACKET, tmp_path, "--plastic", "abs", threads=threads)
    assert again.out == answer.out
    before = {p.relative_to(answer.folder): p.read_bytes() for p in answer.folder.rglob("*") if p.is_file()}
    after = {p.relative_to(again.folder): p.read_bytes() for p in again.folder.rglob("*") if p.is_file()}
    assert before.keys() == after.keys()
    assert [name for name in before if before[name] != after[name]] == []
