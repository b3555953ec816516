"""The page in a real browser; collected where there is one (tests/run installs it).

Hovered values are compared with report.json and with rays shot by trimesh; contrast, names and roles are judged by
axe-core (WCAG 2.1 A and AA)."""

import contextlib
import io
import json
import math
import pathlib
import re

import axe_playwright_python.sync_playwright as axe
import numpy as np
import PIL.Image
import pytest
import trimesh
from playwright.sync_api import sync_playwright

import outside
from conftest import BRACKET, BROWSER, check

GOLDENS = pathlib.Path(__file__).parent / "goldens"
SOFT = ["--no-sandbox", "--disable-dev-shm-usage", "--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
BLIND = ["--no-sandbox", "--disable-dev-shm-usage", "--disable-gpu", "--disable-3d-apis"]


@pytest.fixture(scope="module")
def chromium():
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=BROWSER, args=SOFT)
        yield browser
        browser.close()


def wait_for_canvas(page, key, value):
    """Until the canvas says so. The content policy of the page lets no script poll that is made from text."""
    page.locator(f'canvas[data-{key}="{value}"]').wait_for(state="attached")


@contextlib.contextmanager
def opened(browser, file, **settings):
    """The page, open and ready; it may say nothing on the console and ask for nothing but itself."""
    context = browser.new_context(**{"viewport": {"width": 1300, "height": 900}, "reduced_motion": "reduce", **settings})
    page = context.new_page()
    said, asked = [], []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("dialog", lambda dialog: (said.append(dialog.message), dialog.dismiss()))
    page.on("request", lambda request: asked.append(request.url))
    page.goto(file.as_uri())
    if settings.get("java_script_enabled", True) and page.evaluate("!!document.createElement('canvas').getContext('webgl2')"):
        wait_for_canvas(page, "state", "ready")
    yield page
    assert said == []
    assert [url for url in asked if not url.startswith("data:")] == [file.as_uri()]
    context.close()


def unfolded(page):
    """The controls that most people do not need."""
    page.locator("details.more").evaluate("it => { it.open = true; }")


def page_of(answer):
    return answer.folder / "report.html"


def settled(page):
    """Two frames later everything that was asked for is drawn."""
    page.evaluate("() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => done())))")


def looks(page):
    """The canvas as gray numbers."""
    settled(page)
    with PIL.Image.open(io.BytesIO(page.locator("canvas").screenshot())) as picture:
        return np.asarray(picture.convert("L"), dtype=float)


def changed(page, act):
    """Share of the canvas that looks different after `act`."""
    before = looks(page)
    act()
    return (np.abs(looks(page) - before) > 8).mean()


def read(page, x=None, y=None):
    """What the page says of a place of the canvas, its middle where none is given."""
    page.locator("canvas").scroll_into_view_if_needed()
    box = page.locator("canvas").bounding_box()
    page.mouse.move(box["x"] + 1, box["y"] + 1)
    page.mouse.move(box["x"] + (box["width"] / 2 if x is None else x), box["y"] + (box["height"] / 2 if y is None else y))
    settled(page)
    values = page.locator("[data-is=readout]").get_attribute("data-values")
    return json.loads(values) if values else None


def scene(page):
    return json.loads(page.locator("#scene").text_content())


def field_of(described, key):
    """A value of the surface: its place in the list, what the page holds of it, and the step between its colors."""
    index, field = next((i, each) for i, each in enumerate(described["fields"]) if each["key"] == key)
    return index, field, (field["high"] - field["low"]) / (len(field["colors"]) - 1)


def on_an_edge(mesh, place):
    """Whether faces meet there at more than 20 degrees, so that the place is on both."""
    points = np.tile(np.asarray(place, dtype=float), (len(mesh.faces), 1))
    near = np.linalg.norm(trimesh.triangles.closest_point(mesh.triangles, points) - points, axis=1) < 1e-3
    normals = mesh.face_normals[near]
    return near.any() and (normals @ normals.T).min() < math.cos(math.radians(20))


def test_it_opens_without_a_complaint_and_the_answer_leads(chromium, answer):
    with opened(chromium, page_of(answer)) as page:
        assert page.locator("#solid").is_visible()
        assert page.locator("header .verdict").is_visible()
        policy = page.locator("meta[http-equiv]").get_attribute("content")
        assert "unsafe" not in policy and "default-src 'none'" in policy
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_a_script_or_style_that_is_not_its_own_is_refused(chromium, answer):
    said = []
    context = chromium.new_context()
    page = context.new_page()
    page.goto(page_of(answer).as_uri())
    page.on("console", lambda message: said.append(message.text))
    refused, ran, color = page.evaluate("""async () => {
        const refused = [], before = getComputedStyle(document.body).color;
        document.addEventListener("securitypolicyviolation", (event) => refused.push(event.effectiveDirective));
        for (const [kind, text] of [["script", "window.ran = 1"], ["style", "body { color: red }"]]) {
            const foreign = document.createElement(kind);
            foreign.textContent = text;
            document.head.append(foreign);
        }
        const picture = new Image();
        picture.src = "elsewhere.png";
        while (refused.length < 3) await new Promise((next) => setTimeout(next, 20));
        return [refused.sort(), window.ran !== undefined, getComputedStyle(document.body).color === before];
    }""")
    assert refused == ["img-src", "script-src-elem", "style-src-elem"]
    assert not ran and color
    assert len(said) == 3 and all("Content Security Policy" in line for line in said), said
    context.close()


def test_without_script_or_graphics_the_pictures_say_it(chromium, answer):
    browser = chromium.browser_type.launch(executable_path=BROWSER, args=BLIND)
    for settings in ({"java_script_enabled": False}, {}):
        with opened(browser, page_of(answer), **settings) as page:
            assert not page.locator("#solid").is_visible()
            assert page.locator("#solid button:visible, button.go:visible").count() == 0
            assert page.locator("figure img:visible").count() >= 4
            assert page.locator("img.detail:visible").count() >= 4
    browser.close()


def test_each_cause_is_flown_to_and_reads_as_in_the_report(chromium, answer):
    fields = {"thin_wall": "ball", "thick_wall": "ball", "draft": "draft"}
    mesh = outside.read(BRACKET)
    with opened(chromium, page_of(answer)) as page:
        described = scene(page)
        marks = {}
        for mark in described["marks"]:
            if mark["cause"] is not None:
                marks.setdefault(mark["cause"], mark)
        seen = set()
        for index, cause in enumerate(answer.report["causes"]):
            if not cause["places_mm"]:
                continue
            members = [answer.report["findings"][number - 1] for number in cause["findings"]]
            here = [it for it in members if it["at_mm"] == cause["places_mm"][0]]
            page.locator(f"[data-cause='{index}']").click()
            if not here:
                continue
            finding = here[0]
            wait_for_canvas(page, "flying", "")
            if "wall" in finding["id"]:
                # Beside an edge the balls of neighbors differ by much: go as close as the sample is small.
                for _ in range(26):
                    page.locator("canvas").press("+")
            found = read(page)
            if on_an_edge(mesh, finding["at_mm"]):
                continue
            assert marks[index]["hidden"] or found, finding["title"]
            if not found:
                continue
            if finding["id"] == "undercut":
                assert described["kinds"][found["kind"]]["name"] == "trapped", finding["title"]
            elif finding["id"] in fields:
                place, field, step = field_of(described, fields[finding["id"]])
                value = found["values"][place]
                assert abs(value - finding["value"]) <= step + field["step"], (finding["title"], value)
            seen.add(finding["id"])
        assert {"draft", "undercut"} <= seen


def test_hovered_thickness_is_what_rays_of_another_library_find(chromium, answer):
    """Straight down on the bracket: where the ray meets a face, the next wall behind along its normal."""
    mesh = outside.read(BRACKET)
    with opened(chromium, page_of(answer)) as page:
        described = scene(page)
        page.locator("[data-look=plus]").click()
        wait_for_canvas(page, "flying", "")
        box = page.locator("canvas").bounding_box()
        low, high = mesh.bounds
        # The view along +z from the page's own turn of −1 rad, as camera.js lays it out.
        turn = -1.0
        right = np.array([-math.sin(turn), math.cos(turn), 0.0])
        up = np.array([-math.cos(turn), -math.sin(turn), 0.0])
        corners = np.array(np.meshgrid(*zip(low, high))).reshape(3, -1).T - (low + high) / 2
        half = 1.12 * max(np.abs(corners @ up).max(), np.abs(corners @ right).max() / (box["width"] / box["height"]))
        place, field, step = field_of(described, "ray")
        places = np.random.default_rng(5).uniform(0.15, 0.85, (120, 2)) * [box["width"], box["height"]]
        near = []
        for x, y in np.floor(places):
            found = read(page, x, y)
            across = ((x + 0.5) - box["width"] / 2) * 2 * half / box["height"]
            rise = (box["height"] / 2 - (y + 0.5)) * 2 * half / box["height"]
            eye = (low + high) / 2 + right * across + up * rise
            eye[2] = high[2] + 1
            down = np.array([[0.0, 0.0, -1.0]])
            hits, _, facets = mesh.ray.intersects_location([eye], down)
            assert (len(hits) > 0) == (found is not None), (x, y)
            if len(hits) == 0:
                continue
            first = hits[:, 2].argmax()
            normal = mesh.face_normals[facets[first]]
            wall = outside.ray_lengths(mesh, hits[[first]], normal[None])[0]
            value = found["values"][place]
            if value is not None and wall < field["high"]:
                near.append(abs(value - wall) <= step)
        # A value is that of the nearest sample: beside an edge the wall behind may be another one.
        assert len(near) > 10 and np.mean(near) > 0.8, near


def test_every_control_does_something(chromium, answer):
    with opened(chromium, page_of(answer)) as page:
        unfolded(page)
        select = page.locator("[data-is=color]")
        assert select.input_value() == "problem"
        for key in [each.get_attribute("value") for each in select.locator("option").all()]:
            if key != select.input_value():
                assert changed(page, lambda: select.select_option(key)) > 0.01, key
            shown = [each.get_attribute("data-legend") for each in page.locator("[data-legend]").all() if each.is_visible()]
            assert shown == [key]
        slider = page.locator("[data-is=cut]")
        assert slider.is_disabled()
        for side in ("pull", "ahead", "aside", "eye"):
            assert changed(page, lambda: page.locator("[data-is=cut-axis]").select_option(side)) > 0.005, side
            assert changed(page, lambda: slider.fill("30")) > 0.002
            slider.fill("50")
        page.locator("[data-is=cut-axis]").select_option("none")
        assert changed(page, lambda: page.locator("[data-is=apart]").fill("60")) > 0.02
        page.locator("[data-is=apart]").fill("0")
        time = page.locator("[data-is=time]")
        assert changed(page, lambda: time.fill("0.5")) > 0.01
        assert page.locator("[data-is=time-now]").text_content().endswith(" s")
        time.fill(time.get_attribute("max"))
        assert page.locator("[data-is=time-now]").text_content() == "all"
        for box in page.locator("[data-show]").all():
            if box.get_attribute("data-show") != "vent" or answer.report["fill"]["vents_mm"]:
                act = box.uncheck if box.is_checked() else box.check
                assert changed(page, act) > 0.0001, box.get_attribute("data-show")
        for button in page.locator("[data-look]").all():
            assert changed(page, button.click) > 0.01
        assert changed(page, page.locator("[data-is=whole]").click) > 0.01


def test_mouse_wheel_and_fingers_turn_and_zoom(chromium, answer):
    with opened(chromium, page_of(answer), has_touch=True) as page:
        page.locator("canvas").scroll_into_view_if_needed()
        box = page.locator("canvas").bounding_box()
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2

        def drag(**held):
            page.mouse.move(x, y)
            page.mouse.down()
            page.mouse.move(x + 80, y + 30, steps=3)
            page.mouse.up()

        assert changed(page, drag) > 0.01
        assert changed(page, lambda: (page.mouse.move(x, y), page.mouse.wheel(0, -240))) > 0.01
        page.keyboard.down("Shift")
        assert changed(page, drag) > 0.01
        page.keyboard.up("Shift")
        touch = page.context.new_cdp_session(page)

        def pinch():
            for kind, apart in (("touchStart", 30), ("touchMove", 60), ("touchMove", 110)):
                points = [{"x": x - apart, "y": y, "id": 1}, {"x": x + apart, "y": y, "id": 2}]
                touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
            touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})

        assert changed(page, pinch) > 0.01


def test_the_keyboard_is_enough(chromium, answer):
    with opened(chromium, page_of(answer)) as page:
        reached = set()
        for _ in range(150):
            page.keyboard.press("Tab")
            reached.add(page.evaluate("(() => { const e = document.activeElement; return e.dataset.is || e.dataset.show || e.dataset.look "
                                      "|| e.dataset.cause || e.name || e.tagName; })()"))
            if page.evaluate("document.activeElement.tagName") == "CANVAS":
                break
        assert "CANVAS" in {page.evaluate("document.activeElement.tagName")}
        page.keyboard.press("Enter")
        settled(page)
        first = page.locator("[data-is=readout]").text_content()
        assert "face" in first
        for key in ("ArrowLeft", "ArrowUp", "Shift+ArrowRight", "+", "-", "Home"):
            assert changed(page, lambda: page.keyboard.press(key)) > 0.005, key
        page.locator("details.more summary").focus()
        page.keyboard.press("Enter")
        page.locator("canvas").focus()
        for _ in range(50):
            page.keyboard.press("Tab")
            reached.add(page.evaluate("(() => { const e = document.activeElement; return e.dataset.is || e.dataset.show || e.dataset.look "
                                      "|| e.dataset.cause || e.name || e.tagName; })()"))
        assert {"color", "cut-axis", "apart", "time", "cause", "parting", "plus", "whole", "measure", "units", "0"} <= reached
        page.locator("[data-is=color]").focus()
        assert changed(page, lambda: page.keyboard.press("ArrowDown")) > 0.01
        page.locator("[data-cause='0']").focus()
        assert changed(page, lambda: page.keyboard.press("Enter")) > 0.01


@pytest.mark.parametrize("size", [(1440, 900), (390, 844)])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_contrast_names_and_roles_pass_axe(chromium, answer, size, scheme):
    with opened(chromium, page_of(answer), viewport={"width": size[0], "height": size[1]}, color_scheme=scheme) as page:
        page.evaluate("for (const each of document.querySelectorAll('details')) each.open = true")
        found = axe.Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]}).response["violations"]
        described = [(each["id"], [node["target"] for node in each["nodes"]][:3]) for each in found]
        assert described == []
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_answer_and_part_fit_the_first_screen(chromium, answer):
    """All of both on 1440 by 900 pixels; on a phone within two screens; nothing scrolls within the page."""
    bottom = "Math.max(...[...document.querySelectorAll('.answer, #solid')].map((it) => it.getBoundingClientRect().bottom)) + scrollY"
    for width, height, screens in ((1440, 900, 1), (1024, 768, 1.3), (390, 844, 2)):
        with opened(chromium, page_of(answer), viewport={"width": width, "height": height}) as page:
            assert page.evaluate(bottom) <= screens * height, (width, page.evaluate(bottom))
            assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
            scrolls = """[...document.querySelectorAll('main *')].filter((it) => it.offsetParent && it.scrollHeight > it.clientHeight + 1
                && ['auto', 'scroll'].includes(getComputedStyle(it).overflowY)).map((it) => it.className)"""
            assert page.evaluate(scrolls) == []


def test_two_points_are_measured_between(chromium, answer):
    """Corners of the view along the pull: the distance is that of the places that were read."""
    with opened(chromium, page_of(answer)) as page:
        page.locator("[data-look=plus]").click()
        wait_for_canvas(page, "flying", "")
        box = page.locator("canvas").bounding_box()
        on_part = []
        for x, y in np.random.default_rng(2).uniform(0.3, 0.7, (200, 2)) * [box["width"], box["height"]]:
            found = read(page, x, y)
            if found:
                on_part.append((x, y, np.array(found["at"])))
            if len(on_part) == 2:
                break
        page.locator("[data-is=measure]").click()
        for x, y, _ in on_part:
            page.mouse.click(box["x"] + x, box["y"] + y)
        settled(page)
        described = page.locator("[data-is=readout]").text_content()
        seen = float(re.match(r"([0-9.]+) mm apart", described).group(1))
        # A click is on a whole pixel.
        assert abs(seen - np.linalg.norm(on_part[0][2] - on_part[1][2])) < 0.5, described


def test_every_quantity_is_written_in_inches_and_back(chromium, answer):
    with opened(chromium, page_of(answer)) as page:
        first = page.locator(".answer").text_content()
        page.locator("[data-is=units]").click()
        inches = page.locator(".answer").text_content()
        assert " in" in inches and " psi" in inches
        assert not re.search(r"[0-9] ?(mm|MPa|bar|kN|N|g)\b", inches), inches
        settled(page)
        assert page.locator(".over").text_content().endswith("in")
        page.locator("[data-is=units]").click()
        assert page.locator(".answer").text_content() == first


def test_the_filling_plays(chromium, answer):
    with opened(chromium, page_of(answer), reduced_motion="no-preference") as page:
        # Frames come as ever, at instants that the test sets: a slow machine sees the same ones.
        page.evaluate("""() => {
            const real = requestAnimationFrame.bind(window);
            window.instant = 0;
            performance.now = () => window.instant;
            window.requestAnimationFrame = step => real(() => step(window.instant));
        }""")
        page.locator("[data-is=play]").click()
        page.evaluate("window.instant = 1500")
        half = looks(page)
        page.evaluate("window.instant = 7500")
        assert (np.abs(looks(page) - half) > 8).mean() > 0.01


@pytest.mark.parametrize("key", ["problem", "ball", "release"])
def test_the_part_looks_as_it_did(chromium, answer, key):
    """Small and loose, since every graphics driver draws a little differently."""
    with opened(chromium, page_of(answer)) as page:
        unfolded(page)
        for name in ("cause", "gate", "pin"):
            page.locator(f"[data-show={name}]").uncheck()
        page.locator("[data-is=color]").select_option(key)
        settled(page)
        with PIL.Image.open(io.BytesIO(page.locator("canvas").screenshot())) as picture:
            now = picture.convert("RGB").resize((96, 72), PIL.Image.Resampling.BOX)
        golden = GOLDENS / f"bracket_{key}.png"
        with PIL.Image.open(golden) as before:
            apart = np.abs(np.asarray(now, dtype=float) - np.asarray(before.convert("RGB"), dtype=float))
        assert apart.mean() < 6, apart.mean()


def test_it_prints_answer_and_causes_pictures_and_the_sheet(chromium, answer):
    """Two pages of answer and causes, one of pictures, one for the press."""
    with opened(chromium, page_of(answer)) as page:
        printed = page.pdf(prefer_css_page_size=True)
        assert len(re.findall(rb"/Type\s*/Page\b(?!s)", printed)) <= 5


def test_a_hostile_name_and_header_stay_words(chromium, tmp_path):
    bad = tmp_path / "<img src=x onerror=alert(1)>&\"'.stl"
    body = BRACKET.read_bytes()
    bad.write_bytes(b"</script><script>alert(2)</script>".ljust(80) + body[80:])
    done = check(bad, tmp_path / "out", "--plastic", "abs", "--no-fill")
    assert done.code in (0, 1, 3)
    page_file = next((tmp_path / "out").rglob("report.html"))
    with opened(chromium, page_file) as page:
        assert "onerror" in page.locator("h1").text_content()
        assert page.locator("img[src=x]").count() == 0


def test_a_hundred_thousand_facets_stay_small(chromium, tmp_path):
    mesh = outside.read(BRACKET).subdivide().subdivide()
    big = tmp_path / "big.stl"
    mesh.export(big)
    assert len(mesh.faces) > 100_000
    done = check(big, tmp_path / "out", "--plastic", "abs", "--no-fill")
    file = tmp_path / "out/big/report.html"
    assert done.code in (0, 1, 3) and file.stat().st_size < 12e6
    with opened(chromium, file) as page:
        assert scene(page)["facets"] >= len(mesh.faces)
        assert read(page)


def test_what_is_cut_is_closed(chromium, answer):
    """Where trimesh finds the middle of the cut inside of the part, hatching is drawn; beside it, what lies behind."""
    mesh = outside.read(BRACKET)
    with opened(chromium, page_of(answer)) as page:
        unfolded(page)
        page.locator("[data-is=color]").select_option("ball")
        for name in ("cause", "gate", "vent", "pin", "parting"):
            page.locator(f"[data-show={name}]").uncheck()
        pull = np.array(scene(page)["pull"])
        page.locator("[data-is=cut-axis]").select_option("pull")
        page.locator("[data-look=minus]").click()
        wait_for_canvas(page, "flying", "")
        settled(page)
        box = page.locator("canvas").bounding_box()
        # The view against the pull from the page's own turn of −1 rad, and its cut halfway up, as camera.js lays them out.
        assert abs(pull[2]) > 0.999
        low, high = mesh.bounds
        middle = (low + high) / 2
        ahead, turn = np.array([1.0, 0.0, 0.0]), -1.0
        aside = np.cross(pull, ahead)
        back = -pull
        right = aside * math.cos(turn) - ahead * math.sin(turn)
        up = np.cross(back, right)
        corners = np.array(np.meshgrid(*zip(low, high))).reshape(3, -1).T - middle
        half = 1.12 * max(np.abs(corners @ up).max(), np.abs(corners @ right).max() / (box["width"] / box["height"]))
        places = np.random.default_rng(3).uniform(0.1, 0.9, (4000, 2)) * [box["width"], box["height"]]
        across = (places[:, 0] - box["width"] / 2) * 2 * half / box["height"]
        rise = (box["height"] / 2 - places[:, 1]) * 2 * half / box["height"]
        on_plane = middle + across[:, None] * right + rise[:, None] * up
        inside = np.flatnonzero(mesh.contains(on_plane))
        _, away, _ = trimesh.proximity.closest_point(mesh, on_plane[inside])
        settled(page)
        with PIL.Image.open(io.BytesIO(page.locator("canvas").screenshot())) as picture:
            colors = np.asarray(picture.convert("RGB"), dtype=float)
        # Two pixels off its rim.
        clear = places[inside[away > 2 * 2 * half / box["height"]]]
        assert len(clear) > 20
        for x, y in clear:
            around = colors[int(y) - 1:int(y) + 2, int(x) - 1:int(x) + 2].reshape(-1, 3)
            # Paper and ink of the hatching have no hue; every color of the scales has.
            assert np.ptp(around, axis=1).max() < 12, (x, y, around)
        # Read as what it is.
        read(page, *clear[0])
        assert page.locator("[data-is=readout]").text_content() == "cut face"
        # Pulled apart the halves are open skins, and nothing pretends otherwise.
        closed = looks(page)
        page.locator("[data-is=apart]").fill("1")
        assert (np.abs(looks(page) - closed) > 8).mean() > 0.01


def test_a_large_part_is_drawn_coarsely_while_it_turns_and_whole_when_it_rests(chromium, tmp_path):
    mesh = outside.read(BRACKET).subdivide().subdivide()
    big = tmp_path / "big.stl"
    mesh.export(big)
    done = check(big, tmp_path / "out", "--plastic", "abs", "--no-fill", "--no-mill")
    assert done.code in (0, 1, 3)
    count = """(() => {
        const all = WebGL2RenderingContext.prototype, seen = window.seen = { draws: 0, corners: 0, bytes: 0 };
        for (const name of ["drawElements", "drawArrays"]) {
            const own = all[name];
            all[name] = function (...given) {
                seen.draws += 1;
                if (name === "drawElements" && given[0] === 4) {
                    seen.corners += given[1];
                    if (given[2] !== 5125) seen.short = true;
                }
                return own.apply(this, given);
            };
        }
        for (const name of ["bufferData", "bufferSubData", "texImage2D", "texSubImage2D"]) {
            const own = all[name];
            all[name] = function (...given) { seen.bytes += 1; return own.apply(this, given); };
        }
    })()"""
    context = chromium.new_context(viewport={"width": 1300, "height": 900})
    page = context.new_page()
    page.add_init_script(count)
    page.goto((tmp_path / "out/big/report.html").as_uri())
    page.wait_for_selector("canvas[data-pace]", timeout=60_000)
    page.locator("canvas").scroll_into_view_if_needed()
    settled(page)
    # A hand that moves a little in each frame, however long those take.
    seen, frames, detail = page.evaluate("""async () => {
        const canvas = document.querySelector("canvas"), box = canvas.getBoundingClientRect();
        canvas.setPointerCapture = () => {};
        const hand = (kind, step) => canvas.dispatchEvent(new PointerEvent(kind, {
            pointerId: 1, buttons: 1, clientX: box.left + 200 + 6 * step, clientY: box.top + 200 + 2 * step }));
        hand("pointerdown", 0);
        Object.assign(window.seen, { draws: 0, corners: 0, bytes: 0 });
        const began = Number(canvas.dataset.frames), details = new Set();
        for (let step = 1; step < 9; step++) {
            hand("pointermove", step);
            const before = canvas.dataset.frames;
            while (canvas.dataset.frames === before) await new Promise((next) => requestAnimationFrame(next));
            details.add(canvas.dataset.detail);
        }
        const all = [{ ...window.seen }, Number(canvas.dataset.frames) - began, [...details].join()];
        hand("pointerup", 9);
        return all;
    }""")
    # Drawing it all takes this machine long, or it does not: then there is no need.
    slow = int(page.locator("canvas").get_attribute("data-pace")) >= 25
    assert detail == ("coarse" if slow else "full")
    facets = scene(page)["facets"]
    assert seen["bytes"] == 0 and "short" not in seen and seen["draws"] < 30 * frames
    if slow:
        assert seen["corners"] / 3 / frames < 0.4 * facets, (seen, frames, facets)
    page.wait_for_selector("canvas[data-detail=full]")
    context.close()
