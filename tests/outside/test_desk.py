"""The page of `goodshot desk` in a real browser, as a first-time user meets it."""

import base64
import contextlib
import io
import json
import os
import re
import signal
import subprocess
import zipfile

import pytest
import trimesh
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect, sync_playwright

from conftest import BRACKET, BROWSER, PROGRAM, ROOT

CLIP = ROOT / "models/cable_clip.stl"
PLUG = ROOT / "models/bar_end_plug.stl"

# A check on a busy machine.
PATIENCE_MS = 180_000

SOFT = ["--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--disable-quic", "--no-first-run",
             "--disable-background-networking", "--disable-component-update", "--disable-sync"]


# Asks whether the browser's own rule of contrast (WCAG 2.2, 1.4.3) holds between text and what lies below it.
CONTRAST = """(button) => {
    const style = getComputedStyle(button);
    const light = (color) => {
        const [r, g, b] = color.match(/[\\d.]+/g).slice(0, 3).map((c) => c / 255)
            .map((c) => (c <= 0.03928 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
        return 0.2126 * r + 0.7152 * g + 0.0722 * b;
    };
    const [a, b] = [light(style.color), light(style.backgroundColor)].sort((x, y) => y - x);
    return (a + 0.05) / (b + 0.05);
}"""


@pytest.fixture(scope="module")
def browser():
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=BROWSER, args=ARGUMENTS)
        yield opened
        opened.close()


@contextlib.contextmanager
def served(folder, *words, kept=""):
    """A server that runs in `folder`; what it keeps for its user goes to `kept`, nowhere where that is empty."""
    settings = {**os.environ, "TMPDIR": str(folder), "GOODSHOT_CONFIG": str(kept)}
    server = subprocess.Popen([PROGRAM, "desk", "--no-browser", *words], cwd=folder, env=settings, stdin=subprocess.DEVNULL,
                              stdout=subprocess.PIPE, stderr=subprocess.PIPE, encoding="utf-8")
    yield re.search(r"http://\S+", server.stdout.readline())[0], server
    server.send_signal(signal.SIGINT)
    _, said = server.communicate(timeout=30)
    assert (server.returncode, said) == (0, "")


@pytest.fixture
def desk(tmp_path):
    """The address of a server of its own, in an empty folder."""
    with served(tmp_path) as (address, _):
        yield address
    assert list(tmp_path.iterdir()) == []


@contextlib.contextmanager
def visited(browser, desk, **settings):
    """The page just opened; at the end nothing was complained of and nothing asked elsewhere."""
    context = browser.new_context(**{"viewport": {"width": 1280, "height": 900}, **settings})
    opened = context.new_page()
    said, asked = [], []
    # A refused upload shows by its status in the console too, and drawing without a graphics card by the driver:
    # neither is a fault of the page.
    harmless = ("status of 4", "GL Driver Message")
    opened.on("console", lambda line: said.append(line.text) if not any(it in line.text for it in harmless) else None)
    opened.on("pageerror", lambda error: said.append(str(error)))
    opened.on("request", lambda request: asked.append(request.url))
    opened.goto(desk)
    yield opened
    context.close()
    assert said == []
    assert [url for url in asked if not url.startswith((desk, "data:"))] == []


@pytest.fixture
def page(browser, desk):
    """The page of a server of its own."""
    with visited(browser, desk) as opened:
        yield opened


@pytest.fixture(scope="module")
def drawing_browser():
    """A browser that draws in three dimensions, without a graphics card."""
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=BROWSER, args=[*ARGUMENTS[:1], *ARGUMENTS[2:], *SOFT])
        yield opened
        opened.close()


def verdict(page):
    """The answer in words, when all of it is there."""
    expect(page.locator("#files-box")).to_be_visible(timeout=PATIENCE_MS)
    expect(page.locator("#progress")).to_be_hidden(timeout=PATIENCE_MS)
    return page.locator("#verdict .words").inner_text()


def faults(page):
    """What axe-core finds wrong, contrast included."""
    found = Axe().run(page, options={"iframes": False}).response["violations"]
    return [(each["id"], node["html"][:120]) for each in found for node in each["nodes"]]


def quickly(page):
    """Does not ask whether it fills, which takes longer than all the rest, and checks only when asked."""
    page.get_by_text("More choices").click()
    page.get_by_label("Do not look whether it fills").check()
    page.get_by_text("More choices").click()
    page.get_by_label("Check by itself").uncheck()


def printed(*words):
    return subprocess.run([PROGRAM, *words], capture_output=True, encoding="utf-8", check=True).stdout


def test_a_first_time_user_has_a_verdict_in_three_actions(page):
    # One: the command that opened the page. Two: the part. There is no third.
    page.set_input_files("#part", CLIP)
    expect(page.locator("#steps li")).to_have_count(7)
    assert verdict(page) in ("Cut it", "Fix first", "Do not cut", "Cannot tell yet")
    assert page.locator("#answer h1").inner_text() == "cable_clip.stl"
    assert page.locator(".questions dt").count() == 6
    assert page.locator("#part-name").inner_text().startswith("cable_clip.stl: ")
    assert faults(page) == []


def dropped(page, files, on="body"):
    """Drops files, each a name and its bytes, on an element."""
    content = [[name, base64.b64encode(content).decode()] for name, content in files]
    page.evaluate("""([files, on]) => {
        const data = new DataTransfer();
        for (const [name, content] of files)
            data.items.add(new File([Uint8Array.from(atob(content), (c) => c.charCodeAt(0))], name));
        document.querySelector(on).dispatchEvent(new DragEvent("drop", { dataTransfer: data, bubbles: true, cancelable: true }));
    }""", [content, on])


def in_view(page, selector):
    """Whether all of an element stands within the window."""
    return page.locator(selector).evaluate("""(found) => {
        const box = found.getBoundingClientRect();
        return box.top >= 0 && box.bottom <= innerHeight && box.left >= 0 && box.right <= innerWidth;
    }""")


def test_a_dropped_file_is_checked_and_a_change_is_reported(page):
    quickly(page)
    dropped(page, [["<b>plug<i>.stl", PLUG.read_bytes()]])
    verdict(page)
    # The name is text, wherever it stands.
    assert page.locator("b, i", has_text="plug").count() == 0
    assert "<b>plug<i>.stl" in page.locator("#answer").inner_text()
    expect(page.locator(".changed")).to_have_count(0)
    page.select_option("#plastic", "abs")
    page.fill("#pull", "-z")
    page.get_by_role("button", name="Check", exact=True).click()
    expect(page.locator(".changed")).to_be_visible(timeout=PATIENCE_MS)
    rows = page.locator(".changed td").all_inner_texts()
    assert "Plastic" in rows and "Pull" in rows and "−z" in rows
    expect(page.locator("#answer code")).to_have_text(
        "goodshot check '<b>plug<i>.stl' --plastic=abs --pull=-z --no-fill")
    # The table of runs says what was changed.
    assert "Plastic: abs; Mold opens along: -z" in page.locator("#run-rows").inner_text()
    assert faults(page) == []


def test_a_change_marks_the_answer_out_of_date_at_once(page):
    quickly(page)
    page.set_input_files("#part", CLIP)
    verdict(page)
    expect(page.locator("#stale-why")).to_be_hidden()
    page.select_option("#plastic", "abs")
    # No wait: the mark stands as soon as the choice is made.
    assert page.locator("#stale-why").inner_text() == "Out of date: since this answer you changed Plastic."
    assert page.locator("#answer.stale").count() == 1
    assert faults(page) == []
    page.select_option("#plastic", "pp")
    assert page.locator("#stale-why").is_hidden() and page.locator("#answer.stale").count() == 0
    page.fill("#pull", "-z")
    page.locator("#tools").evaluate("(list) => list.append(new Option('ours', '7'))")
    page.select_option("#tools", "7")
    assert "Cutters, Mold opens along" in page.locator("#stale-why").inner_text()
    page.select_option("#tools", "")
    page.get_by_role("button", name="Check again").click()
    expect(page.locator("#stale-why")).to_be_hidden(timeout=PATIENCE_MS)
    assert "--pull=-z" in page.locator("#answer code").inner_text()


def test_an_unrelated_part_is_not_compared_and_a_new_state_of_one_is(page):
    quickly(page)
    page.set_input_files("#part", PLUG)
    verdict(page)
    page.set_input_files("#part", CLIP)
    expect(page.locator("#run-rows tr.shown")).to_contain_text("cable_clip.stl", timeout=PATIENCE_MS)
    assert page.locator(".changed").count() == 0
    assert "worse" not in page.locator("#answer .own").inner_text().lower()
    # The first part again, a little larger, under another name: compared with its own state before.
    larger = trimesh.load(PLUG)
    larger.apply_scale(1.01)
    dropped(page, [["plug_v2.stl", larger.export(file_type="stl")]])
    expect(page.locator(".changed", has_text="Greatest distance")).to_be_visible(timeout=PATIENCE_MS)


def test_what_is_wrong_with_a_choice_stands_at_its_field_in_view(page):
    page.set_viewport_size({"width": 1280, "height": 600})
    quickly(page)
    page.set_input_files("#part", CLIP)
    verdict(page)
    page.fill("#pull", "up")
    page.evaluate("scrollTo(0, document.body.scrollHeight)")
    page.get_by_role("button", name="Check again").evaluate("(button) => button.click()")
    expect(page.locator("#pull-error")).to_contain_text("+z")
    assert page.evaluate("document.activeElement.id") == "pull"
    # The window scrolls there smoothly.
    for _ in range(50):
        if in_view(page, "#pull") and in_view(page, "#pull-error"):
            break
        page.wait_for_timeout(100)
    assert in_view(page, "#pull") and in_view(page, "#pull-error")
    assert page.locator("#pull").get_attribute("aria-invalid") == "true"
    assert "pull-error" in page.locator("#pull").get_attribute("aria-describedby")
    assert faults(page) == []
    # One that is folded away is unfolded.
    page.fill("#pull", "")
    page.locator("#gate-depth").evaluate("(field) => { field.value = '0.8'; }")
    page.get_by_role("button", name="Check", exact=True).click()
    expect(page.locator("#gate-depth-error")).to_be_visible()
    expect(page.locator("#pull-error")).to_have_count(0)
    assert page.evaluate("document.activeElement.id") == "gate-depth"


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_button_can_be_read_under_the_pointer(page, scheme):
    page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
    quickly(page)
    page.set_input_files("#part", CLIP)
    verdict(page)
    page.select_option("#plastic", "abs")
    buttons = page.locator("button:visible")
    assert buttons.count() >= 3
    for place in range(buttons.count()):
        button = buttons.nth(place)
        button.hover(force=True)
        assert button.evaluate(CONTRAST) >= 4.5, button.inner_text()
    assert faults(page) == []


def test_several_dropped_files_each_have_a_verdict_and_open(page):
    quickly(page)
    files = [[path.name, path.read_bytes()] for path in (CLIP, PLUG, BRACKET)]
    dropped(page, [*files[:2], ["photo.stl", b"no part"], files[2]])
    rows = page.locator("#run-rows tr")
    expect(rows).to_have_count(3, timeout=PATIENCE_MS)
    # The one that is no part is named, and takes nothing away from the others.
    expect(page.locator("#part-error")).to_contain_text("photo.stl")
    expect(page.locator("#run-rows button", has_text="Open")).to_have_count(3, timeout=PATIENCE_MS)
    assert {row.split("\t")[1] for row in rows.all_inner_texts()} == {path.name for path in (CLIP, PLUG, BRACKET)}
    assert page.locator("#run-rows .badge").count() == 3
    for path in (BRACKET, PLUG):
        page.get_by_role("button", name=f"Open check of {path.name}").click()
        expect(page.locator("#answer code")).to_contain_text(path.name)
        expect(page.locator("#answer h1")).to_have_text(path.name)
    assert faults(page) == []


def test_a_page_that_is_loaded_again_is_as_it_was(page, tmp_path_factory):
    press = tmp_path_factory.mktemp("press") / "ours.toml"
    press.write_text(printed("press", "--template"))
    quickly(page)
    page.set_input_files("#press-file", press)
    expect(page.locator("#press option")).to_have_count(2)
    page.select_option("#plastic", "abs")
    page.set_input_files("#part", CLIP)
    answered = verdict(page)
    page.fill("#pull", "-z")
    page.wait_for_timeout(500)
    shown = page.locator("#part-name").inner_text()
    page.reload()
    assert verdict(page) == answered
    assert page.locator("#part-name").inner_text() == shown
    assert page.locator("#plastic").input_value() == "abs" and page.locator("#pull").input_value() == "-z"
    assert page.locator("#no-fill").is_checked()
    assert "ours.toml" in page.locator("#press option:checked").inner_text()
    # The pull was changed after the answer, and the page still says so.
    assert "Mold opens along" in page.locator("#stale-why").inner_text()
    assert page.evaluate("localStorage.length + sessionStorage.length") == 0
    # In the middle of a check too.
    page.get_by_role("button", name="Check again").click()
    page.reload()
    expect(page.locator("#answer code")).to_contain_text("--pull=-z", timeout=PATIENCE_MS)
    expect(page.locator("#stale-why")).to_be_hidden()


def test_what_is_wrong_is_said_and_the_page_goes_on(page, tmp_path_factory):
    folder = tmp_path_factory.mktemp("bad")
    bad = folder / "photo.stl"
    bad.write_bytes(b"\x89PNG\r\n\x1a\n and so on")
    page.set_input_files("#part", bad)
    expect(page.locator("#part-error")).to_be_visible()
    assert page.locator("#part-error").inner_text().startswith("photo.stl: ")
    assert faults(page) == []
    press = folder / "ours.toml"
    press.write_text("name = 3\n")
    page.set_input_files("#press-file", press)
    expect(page.locator("#press-file-error")).to_contain_text("ours.toml: ")
    expect(page.locator("#part-error")).to_have_count(0)
    huge = folder / "huge.stl"
    with open(huge, "wb") as file:
        file.truncate(201 << 20)
    # Playwright hands over large files by their path.
    page.set_input_files("#part", huge)
    expect(page.locator("#part-error")).to_contain_text("200 MB at most")
    quickly(page)
    page.set_input_files("#part", CLIP)
    verdict(page)
    expect(page.locator(".field-error")).to_have_count(0)
    # A file without a place is asked about above the answer, in view.
    page.evaluate("scrollTo(0, document.body.scrollHeight)")
    dropped(page, [["what.toml", b"x = 1"]])
    expect(page.locator("#error")).to_contain_text("drop it on Plastic, Press or Cutters")
    assert page.evaluate("document.activeElement.id") == "error"


def test_the_keyboard_is_enough(page):
    quickly(page)
    page.set_input_files("#part", CLIP)
    verdict(page)
    # From the verdict on, every control is reached and shows that it is.
    reached = []
    page.evaluate("document.activeElement.blur()")
    wanted = {"part", "plastic", "plastics", "press", "press-file", "tools", "tools-file", "pull", "unit", "SUMMARY", "check"}
    # The report has stops of its own, and the round goes through them.
    for _ in range(600):
        if wanted <= {name for name, _ in reached}:
            break
        page.keyboard.press("Tab")
        seen = page.evaluate("""() => {
            const at = document.activeElement;
            const style = getComputedStyle(at);
            return [at.id || at.tagName, style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2];
        }""")
        reached.append(seen)
    names = [name for name, _ in reached]
    assert wanted <= set(names), (wanted - set(names), names)
    assert all(shown for name, shown in reached if name != "BODY"), reached
    # Chosen and checked again without a pointer.
    page.focus("#pull")
    page.keyboard.type("+x")
    page.keyboard.press("Enter")
    expect(page.locator(".changed")).to_be_visible(timeout=PATIENCE_MS)


@pytest.mark.parametrize("width", [320, 390, 1600])
def test_no_width_scrolls_sideways(page, width):
    page.set_viewport_size({"width": width, "height": 800})
    quickly(page)
    page.set_input_files("#part", CLIP)
    verdict(page)
    # On a narrow window the choices are folded, so that the answer comes right after the part.
    if width < 800:
        assert page.locator("#verdict").evaluate("(found) => found.getBoundingClientRect().top + scrollY") < 900
        page.get_by_text("Plastic, press and other choices").click()
    page.select_option("#plastic", "abs")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.get_by_role("button", name="Check again").click()
    expect(page.locator(".changed")).to_be_visible(timeout=PATIENCE_MS)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert faults(page) == []


def test_another_page_cannot_reach_this_one_nor_its_reports(page, desk, browser):
    quickly(page)
    page.set_input_files("#part", CLIP)
    verdict(page)
    # A report that is opened on its own stands apart from the page that made it.
    alone = browser.new_context()
    report = alone.new_page()
    report.goto(desk + "runs/2/report.html")
    assert report.evaluate("window.origin") == "null"
    alone.close()
    other = browser.new_context()
    elsewhere = other.new_page()
    elsewhere.set_content("<p>another page</p>")
    for how in ({}, {"method": "POST", "body": "{}"}):
        got = elsewhere.evaluate("""([url, how]) => fetch(url, { ...how, mode: "no-cors" })
            .then((r) => r.type, () => "refused")""", [desk + "runs/1", how])
        assert got in ("opaque", "refused")
    framed = elsewhere.evaluate("""(url) => new Promise((done) => {
        const frame = document.createElement("iframe");
        frame.onload = () => { try { done(frame.contentDocument === null ? "kept out" : "seen"); } catch { done("kept out"); } };
        frame.src = url;
        document.body.append(frame);
    })""", desk)
    assert framed == "kept out"
    other.close()


def test_an_own_press_and_the_files_of_the_report(page, tmp_path_factory):
    press = tmp_path_factory.mktemp("press") / "ours.toml"
    press.write_text(subprocess.run([PROGRAM, "press", "--template"], capture_output=True, encoding="utf-8",
                                    check=True).stdout)
    quickly(page)
    page.set_input_files("#press-file", press)
    expect(page.locator("#press option")).to_have_count(2)
    page.set_input_files("#part", BRACKET)
    assert verdict(page) in ("Fix first", "Do not cut")
    assert "--press ours.toml" in page.locator("#answer code").inner_text()
    with page.expect_download() as waited:
        page.get_by_role("link", name="report.json").click()
    report = json.loads(waited.value.path().read_text(encoding="utf-8"))
    assert report["part"]["file"] == "lamp_bracket.stl" and report["press"]["given"]


def test_a_check_is_stopped_and_the_next_one_runs(page):
    page.get_by_text("More choices").click()
    # Fine cells: far longer than anybody waits.
    page.get_by_label("Cells for filling").fill("400000")
    page.set_input_files("#part", BRACKET)
    expect(page.locator("#steps li.now")).to_contain_text("filling", timeout=PATIENCE_MS)
    # Whatever comes meanwhile is read.
    dropped(page, [["other.stl", b"solid"]])
    expect(page.locator("#part-error")).to_contain_text("other.stl: ")
    assert faults(page) == []
    page.locator("#stop").click()
    expect(page.locator("#stopped")).to_contain_text("Stopped.", timeout=30_000)
    expect(page.locator("#progress")).to_be_hidden()
    expect(page.locator("#error")).to_be_hidden()
    expect(page.locator("#check")).to_be_enabled()
    page.get_by_label("Cells for filling").fill("")
    page.get_by_label("Do not look whether it fills").check()
    page.get_by_role("button", name="Check", exact=True).click()
    verdict(page)
    assert page.locator("#stopped").inner_text() == ""


def test_own_plastics_and_cutters_are_chosen_or_dropped(page, tmp_path_factory):
    folder = tmp_path_factory.mktemp("own")
    cutters = folder / "ours.toml"
    cutters.write_text(printed("cutters", "--template"))
    quickly(page)
    page.set_input_files("#tools-file", cutters)
    expect(page.locator("#tools option")).to_have_count(2)
    dropped(page, [["mine.toml", b"[plastic.blend]\nname = 'Our blend'\n"]], on="[data-takes=plastics]")
    expect(page.locator("#plastics option")).to_have_count(2)
    # The plastic that the file brings is chosen, and the built-in ones can be had again.
    expect(page.locator("#plastic")).to_have_value("blend")
    page.select_option("#plastics", "")
    expect(page.locator("#plastic")).to_have_value("pp")
    dropped(page, [["mine.toml", printed("plastics", "--template").encode()]], on="[data-takes=plastics]")
    expect(page.locator("#plastic")).to_have_value("abs")
    dropped(page, [["bad.toml", b"name = 3"]], on="[data-takes=tools]")
    expect(page.locator("#tools-file-error")).to_contain_text("bad.toml: ")
    page.set_input_files("#part", CLIP)
    verdict(page)
    expect(page.locator("#answer code")).to_have_text(
        "goodshot check cable_clip.stl --plastics mine.toml --tools ours.toml --plastic=abs --no-fill")
    assert faults(page) == []


def describe_press(page):
    """Describes a press of one's own by form; how many actions that took."""
    page.get_by_role("button", name="Describe your press").click()
    page.locator('[name="drive.air.bore"]').fill("3.25")
    page.locator('[data-unit-of="drive.air.bore"]').select_option("in")
    page.locator('[name="drive.air.air"]').fill("120")
    page.locator('[data-unit-of="drive.air.air"]').select_option("psi")
    page.locator('[name="ram.diameter"]').fill("20")
    page.locator('[name="clamp.bolts.torque"]').fill("20")
    page.get_by_role("button", name="Use this press").click()
    expect(page.locator("#press-dialog")).to_be_hidden()
    return 8


def test_from_a_press_by_form_to_a_verdict_to_the_files_of_the_mold(page, tmp_path_factory):
    actions = describe_press(page)
    expect(page.locator("#press option:checked")).to_contain_text("our press")
    page.set_input_files("#part", PLUG)
    actions += 1
    answered = verdict(page)
    assert actions <= 12
    assert "our press" in page.locator(".judged").inner_text()
    more = 0
    if answered != "Cut it":
        # Behind a warning where it should not be cut.
        expect(page.locator("#mold-form")).to_be_hidden()
        page.get_by_text("Make the mold all the same").click()
        expect(page.locator(".make .warning")).to_contain_text(answered)
        more += 1
    page.get_by_role("button", name="Make the mold").click()
    expect(page.locator("#verdict .words")).to_contain_text("hold", timeout=PATIENCE_MS)
    with page.expect_download() as waited:
        page.get_by_role("link", name="All files (zip)").click()
    more += 2
    assert more <= 3
    assert waited.value.suggested_filename == "bar_end_plug-mold.zip"
    with zipfile.ZipFile(waited.value.path()) as package:
        assert package.testzip() is None
        names = set(package.namelist())
        halves = [trimesh.load(io.BytesIO(package.read(f"{name}.stl")), file_type="stl") for name in ("cavity", "core")]
    assert {"mold.3mf", "parting.dxf", "drill.csv", "mold.md", "mold.html"} <= names
    assert all(half.is_watertight and half.volume > 0 for half in halves)
    # One alone too, and the halves in the page.
    with page.expect_download() as waited:
        page.get_by_role("link", name="drill.csv").click()
    assert waited.value.path().read_text(encoding="utf-8").startswith("number,half,kind")
    expect(page.locator("#answer h1")).to_have_text("Mold for bar_end_plug.stl")
    for title in ("Checks", "To buy", "To drill, ream and mill besides the part"):
        expect(page.locator("#answer").get_by_role("heading", name=title, exact=True)).to_have_count(1)
    assert faults(page) == []


def test_a_wrong_choice_of_the_mold_stands_at_its_field(page):
    quickly(page)
    page.set_input_files("#part", PLUG)
    verdict(page)
    page.get_by_text("Make the mold all the same").click()
    page.get_by_text("Choices of the mold").click()
    page.locator("#travel").fill("200 mm,150 mm")
    page.get_by_role("button", name="Make the mold").click()
    expect(page.locator("#travel-error")).to_contain_text("three lengths")
    expect(page.locator("#travel")).to_be_focused()
    page.locator("#travel").fill("")
    expect(page.locator("#travel-error")).to_have_count(0)
    # A part that is trapped has no mold, and why stands in view.
    page.set_input_files("#part", CLIP)
    expect(page.locator("#run-rows tr.shown")).to_contain_text("cable_clip.stl", timeout=PATIENCE_MS)
    page.get_by_text("Make the mold all the same").click()
    page.get_by_role("button", name="Make the mold").click()
    expect(page.locator("#error")).to_contain_text("trapped", timeout=PATIENCE_MS)
    assert faults(page) == []


def test_the_form_of_the_press_says_what_it_can_do_as_the_command_does(page, tmp_path_factory):
    folder = tmp_path_factory.mktemp("press")
    page.get_by_role("button", name="Describe your press").click()
    facts = page.locator("#press-facts")
    # It begins as the template.
    template = folder / "template.toml"
    template.write_text(printed("press", "--template"))
    described = printed("press", template)
    for name in ("ram force", "melt pressure"):
        number = re.search(rf"{name}\s+([\d.]+ \w+)", described)[1]
        expect(facts).to_contain_text(number)
    assert faults(page) == []
    # A change shows at once.
    page.locator('[name="drive.air.bore"]').fill("50")
    expect(facts).to_contain_text("1.237 kN")  # 0.9 · 7 bar · π/4 · 50² mm²
    # What is wrong stands at its field, and nothing is known meanwhile.
    page.locator('[name="drive.air.rod"]').fill("60")
    expect(page.locator(".field-error")).to_contain_text("thinner than the bore")
    assert page.locator('[name="drive.air.rod"]').get_attribute("aria-invalid") == "true"
    assert faults(page) == []
    page.get_by_role("button", name="Use this press").click()
    expect(page.locator('[name="drive.air.rod"]')).to_be_focused()
    # Another drive, another clamp: their fields and no others.
    page.get_by_role("radio", name="Lever").check()
    page.get_by_role("radio", name="Vise").check()
    expect(page.locator('[name="drive.lever.hand"]')).to_be_visible()
    expect(page.locator('[name="drive.air.bore"]')).to_be_hidden()
    expect(page.locator('[name="clamp.vise"]')).to_be_visible()
    expect(facts).to_contain_text("3 kN")  # 300 N · 900 / 90
    expect(page.locator(".field-error")).to_have_count(0)
    # Saved, it is a file that the command reads alike; opened, the form is the same again.
    page.locator("#press-name").fill("the lever")
    page.wait_for_timeout(600)
    with page.expect_download() as waited:
        page.get_by_role("link", name="Save as a file").click()
    assert waited.value.suggested_filename == "the lever.toml"
    saved = folder / "saved.toml"
    saved.write_bytes(waited.value.path().read_bytes())
    assert "ram force       3 kN" in printed("press", saved)
    page.get_by_label("Air cylinders").check()
    page.locator("#press-load").set_input_files(saved)
    expect(page.get_by_role("radio", name="Lever")).to_be_checked()
    expect(page.get_by_role("radio", name="Vise")).to_be_checked()
    page.locator("#press-load").set_input_files({"name": "no.toml", "mimeType": "text/plain", "buffer": b"name = 3"})
    expect(page.locator("#press-problem")).to_contain_text("no.toml: ")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_the_form_of_the_press_fits_and_can_be_read(page, scheme, width):
    page.set_viewport_size({"width": width, "height": 844})
    page.emulate_media(color_scheme=scheme)
    page.get_by_role("button", name="Describe your press").click()
    expect(page.locator("#press-facts")).to_contain_text("Ram force")
    page.get_by_text("Plates of the mold, as far").click()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    box = page.locator("#press-dialog").evaluate("(found) => [found.scrollWidth, found.clientWidth]")
    assert box[0] <= box[1]
    assert faults(page) == []
    page.keyboard.press("Escape")
    expect(page.locator("#press-dialog")).to_be_hidden()
    # The focus is back where it was.
    assert page.evaluate("document.activeElement.id") == "press-describe"


def test_two_runs_of_ones_choice_are_compared(page):
    quickly(page)
    page.set_input_files("#part", CLIP)
    verdict(page)
    for plastic in ("abs", "pa6"):
        page.select_option("#plastic", plastic)
        page.get_by_role("button", name="Check again").click()
        expect(page.locator("#answer code")).to_contain_text(f"--plastic={plastic}", timeout=PATIENCE_MS)
    rows = page.locator("#run-rows tr")
    expect(rows).to_have_count(3)
    changes = [row.split("\t")[2] for row in rows.all_inner_texts()]
    assert changes == ["Plastic: pa6", "Plastic: abs", "first check"]
    compare = page.get_by_role("button", name="Compare the two marked")
    expect(compare).to_be_disabled()
    rows.nth(0).get_by_role("checkbox").check()
    rows.nth(2).get_by_role("checkbox").check()
    compare.click()
    expect(page.locator("#verdict")).to_have_text("cable_clip.stl → cable_clip.stl", timeout=PATIENCE_MS)
    row = page.locator("#answer tr", has=page.locator("td", has_text=re.compile("^Plastic$")))
    assert row.locator("td").all_inner_texts()[1:3] == ["PP", "PA6"]
    # A comparison is of what was, and never out of date.
    expect(page.locator("#stale-why")).to_be_hidden()
    assert faults(page) == []


def test_the_whole_way_by_keyboard_alone(page):
    def press_on(selector, key="Enter"):
        page.locator(selector).first.focus()
        page.keyboard.press(key)

    press_on("#press-describe")
    expect(page.locator("#press-dialog")).to_be_visible()
    # The arrows choose among the drives.
    press_on('[name="drive"]:checked', "ArrowRight")
    expect(page.get_by_role("radio", name="Lever")).to_be_checked()
    page.locator('[name="drive.lever.hand"]').focus()
    page.keyboard.press("Control+A")
    page.keyboard.type("500")
    page.keyboard.press("Enter")
    expect(page.locator("#press-dialog")).to_be_hidden()
    quickly_by_keyboard(page)
    # The chooser of files is the browser's own.
    page.set_input_files("#part", PLUG)
    verdict(page)
    # The verdict has the focus, so that a screen reader reads it.
    assert page.evaluate("document.activeElement.id") == "verdict"
    press_on(".make > details > summary")
    press_on("#mold-form > button")
    expect(page.locator("#verdict .words")).to_contain_text("hold", timeout=PATIENCE_MS)
    assert page.evaluate("document.activeElement.id") == "verdict"
    with page.expect_download():
        press_on("#files a")
    press_on('#run-rows [data-act="Open"] >> nth=1')
    expect(page.locator("#answer code")).to_contain_text("goodshot check")


def quickly_by_keyboard(page):
    """As `quickly`, without a pointer."""
    page.locator("#choices details > summary").focus()
    page.keyboard.press("Enter")
    page.locator("#no-fill").focus()
    page.keyboard.press("Space")
