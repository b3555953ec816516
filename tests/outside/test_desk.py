"""The page of `goodshot desk` in a real browser, as a first-time user meets it."""

import base64
import json
import os
import re
import signal
import subprocess

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect, sync_playwright

from conftest import BRACKET, BROWSER, PROGRAM, ROOT

CLIP = ROOT / "models/cable_clip.stl"
PLUG = ROOT / "models/bar_end_plug.stl"

# A check on a busy machine.
PATIENCE_MS = 180_000

ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--disable-quic", "--no-first-run",
             "--disable-background-networking", "--disable-component-update", "--disable-sync"]


@pytest.fixture(scope="module")
def browser():
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=BROWSER, args=ARGUMENTS)
        yield opened
        opened.close()


@pytest.fixture
def desk(tmp_path):
    """The address of a server of its own, in an empty folder."""
    settings = {**os.environ, "TMPDIR": str(tmp_path)}
    server = subprocess.Popen([PROGRAM, "desk", "--no-browser"], cwd=tmp_path, env=settings, stdin=subprocess.DEVNULL,
                              stdout=subprocess.PIPE, stderr=subprocess.PIPE, encoding="utf-8")
    yield re.search(r"http://\S+", server.stdout.readline())[0]
    server.send_signal(signal.SIGINT)
    _, said = server.communicate(timeout=30)
    assert (server.returncode, said) == (0, "")
    assert list(tmp_path.iterdir()) == []


@pytest.fixture
def page(browser, desk):
    """The page just opened; at the end nothing was complained of and nothing asked elsewhere."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    opened = context.new_page()
    said, asked = [], []
    # A refused upload is told by its status in the console too, and drawing without a graphics card by the driver:
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


def verdict(page):
    expect(page.locator("#verdict")).to_be_visible(timeout=PATIENCE_MS)
    expect(page.locator("#check")).to_be_enabled(timeout=PATIENCE_MS)
    return page.locator("#verdict .words").inner_text()


def faults(page):
    """What axe-core finds wrong, contrast included."""
    found = Axe().run(page, options={"iframes": False}).response["violations"]
    return [(each["id"], node["html"][:120]) for each in found for node in each["nodes"]]


def quickly(page):
    """Does not ask whether it fills, which takes longer than all the rest."""
    page.get_by_text("More choices").click()
    page.get_by_label("Do not look whether it fills").check()
    page.get_by_text("More choices").click()


def test_a_first_time_user_has_a_verdict_in_three_actions(page):
    # One: the command that opened the page. Two: the part. There is no third.
    page.set_input_files("#part", CLIP)
    expect(page.locator("#steps li")).to_have_count(7)
    assert verdict(page) in ("Cut it", "Fix first", "Do not cut", "Cannot tell yet")
    frame = page.frame_locator("#page")
    expect(frame.locator("h1").first).to_have_text("cable_clip.stl")
    assert page.locator("#part-name").inner_text().startswith("cable_clip.stl: ")
    assert faults(page) == []


def test_a_dropped_file_is_checked_and_a_change_is_told(page):
    quickly(page)
    content = base64.b64encode(PLUG.read_bytes()).decode()
    drop = """([name, content]) => {
        const bytes = Uint8Array.from(atob(content), (c) => c.charCodeAt(0));
        const data = new DataTransfer();
        data.items.add(new File([bytes], name));
        document.body.dispatchEvent(new DragEvent("drop", { dataTransfer: data, bubbles: true, cancelable: true }));
    }"""
    page.evaluate(drop, ["<b>plug<i>.stl", content])
    verdict(page)
    # The name is text, wherever it stands.
    assert page.locator("b, i", has_text="plug").count() == 0
    assert "<b>plug<i>.stl" in page.locator("#answer").inner_text()
    expect(page.locator(".changed")).to_have_count(0)
    page.select_option("#plastic", "abs")
    page.fill("#pull", "-z")
    page.get_by_role("button", name="Check").click()
    expect(page.locator(".changed")).to_be_visible(timeout=PATIENCE_MS)
    rows = page.locator(".changed td").all_inner_texts()
    assert "Plastic" in rows and "Pull" in rows and "−z" in rows
    expect(page.locator("#answer code")).to_have_text(
        "goodshot check '<b>plug<i>.stl' --plastic=abs --pull=-z --no-fill")
    # The part again, changed in its shape: the walls are compared.
    page.set_input_files("#part", CLIP)
    expect(page.locator(".changed", has_text="Greatest distance")).to_be_visible(timeout=PATIENCE_MS)
    assert faults(page) == []


def test_what_is_wrong_is_said_and_the_page_goes_on(page, tmp_path_factory):
    folder = tmp_path_factory.mktemp("bad")
    bad = folder / "photo.stl"
    bad.write_bytes(b"\x89PNG\r\n\x1a\n and so on")
    page.set_input_files("#part", bad)
    expect(page.locator("#error")).to_be_visible()
    assert page.locator("#error").inner_text().startswith("photo.stl: ")
    assert faults(page) == []
    press = folder / "ours.toml"
    press.write_text("name = 3\n")
    page.set_input_files("#press-file", press)
    expect(page.locator("#error")).to_contain_text("ours.toml: ")
    huge = folder / "huge.stl"
    with open(huge, "wb") as file:
        file.truncate(201 << 20)
    # Playwright hands over large files by their path.
    page.set_input_files("#part", huge)
    expect(page.locator("#error")).to_contain_text("200 MB at most")
    quickly(page)
    page.set_input_files("#part", CLIP)
    verdict(page)
    expect(page.locator("#error")).to_be_hidden()
    page.fill("#pull", "up")
    page.keyboard.press("Enter")
    expect(page.locator("#error")).to_contain_text("+z")


def test_the_keyboard_is_enough(page):
    quickly(page)
    page.set_input_files("#part", CLIP)
    verdict(page)
    # From the verdict on, every control is reached and shows that it is.
    reached = []
    page.evaluate("document.activeElement.blur()")
    wanted = {"part", "plastic", "plastics", "press", "press-file", "tools", "tools-file", "pull", "unit", "SUMMARY", "check"}
    # The report in its frame has stops of its own, and the round goes through them.
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
    assert all(shown for name, shown in reached if name not in ("BODY", "page", "IFRAME")), reached
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
    page.select_option("#plastic", "abs")
    page.get_by_role("button", name="Check").click()
    expect(page.locator(".changed")).to_be_visible(timeout=PATIENCE_MS)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert faults(page) == []


def test_the_report_cannot_reach_the_page_and_another_page_cannot_reach_either(page, desk, browser):
    quickly(page)
    page.set_input_files("#part", CLIP)
    verdict(page)
    frame = next(frame for frame in page.frames if frame.url.endswith("report.html"))
    assert frame.evaluate("window.origin") == "null"
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


def dropped(page, name, content, on="body"):
    page.evaluate("""([name, text, on]) => {
        const data = new DataTransfer();
        data.items.add(new File([text], name));
        document.querySelector(on).dispatchEvent(new DragEvent("drop", { dataTransfer: data, bubbles: true, cancelable: true }));
    }""", [name, content, on])


def printed(*words):
    return subprocess.run([PROGRAM, *words], capture_output=True, encoding="utf-8", check=True).stdout


def test_a_check_is_stopped_and_the_next_one_runs(page):
    page.get_by_text("More choices").click()
    # Fine cells: far longer than anybody waits.
    page.get_by_label("Cells for filling").fill("400000")
    page.set_input_files("#part", BRACKET)
    expect(page.locator("#steps li.now")).to_contain_text("filling", timeout=PATIENCE_MS)
    # Whatever comes meanwhile is told that it has to wait.
    dropped(page, "other.stl", "solid")
    expect(page.locator("#error")).to_contain_text("other.stl was not taken: a check is running")
    assert faults(page) == []
    page.get_by_role("button", name="Stop").click()
    expect(page.locator("#stopped")).to_contain_text("Stopped.", timeout=30_000)
    expect(page.locator("#progress")).to_be_hidden()
    expect(page.locator("#error")).to_be_hidden()
    expect(page.locator("#check")).to_be_enabled()
    page.get_by_label("Cells for filling").fill("")
    page.get_by_label("Do not look whether it fills").check()
    page.get_by_role("button", name="Check").click()
    verdict(page)
    assert page.locator("#stopped").inner_text() == ""


def test_own_plastics_and_cutters_are_chosen_or_dropped(page, tmp_path_factory):
    folder = tmp_path_factory.mktemp("own")
    cutters = folder / "ours.toml"
    cutters.write_text(printed("cutters", "--template"))
    quickly(page)
    page.set_input_files("#tools-file", cutters)
    expect(page.locator("#tools option")).to_have_count(2)
    dropped(page, "mine.toml", "[plastic.blend]\nname = 'Our blend'\n", on="[data-takes=plastics]")
    expect(page.locator("#plastics option")).to_have_count(2)
    # The plastic that the file brings is chosen, and the built-in ones can be had again.
    expect(page.locator("#plastic")).to_have_value("blend")
    page.select_option("#plastics", "")
    expect(page.locator("#plastic")).to_have_value("pp")
    dropped(page, "mine.toml", printed("plastics", "--template"), on="[data-takes=plastics]")
    expect(page.locator("#plastic")).to_have_value("abs")
    dropped(page, "what.toml", "x = 1")
    expect(page.locator("#error")).to_contain_text("drop it on Plastic, Press or Cutters")
    dropped(page, "bad.toml", "name = 3", on="[data-takes=tools]")
    expect(page.locator("#error")).to_contain_text("bad.toml: ")
    page.set_input_files("#part", CLIP)
    verdict(page)
    expect(page.locator("#answer code")).to_have_text(
        "goodshot check cable_clip.stl --plastics mine.toml --tools ours.toml --plastic=abs --no-fill")
    assert faults(page) == []
