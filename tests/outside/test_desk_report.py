"""The report as part of the page of `goodshot desk`: several runs, one after the other, in a browser that draws."""

import os
import pathlib
import re
import shutil
import signal
import time

import pytest
from playwright.sync_api import expect

from conftest import BRACKET
from test_desk import (CLIP, PATIENCE_MS, PLUG, drawing_browser, faults, in_view, quickly, served, verdict,  # noqa: F401
                       visited)


@pytest.fixture
def turning(drawing_browser, tmp_path):  # noqa: F811
    """The page in a browser that draws, and what the server keeps."""
    home = tmp_path / "home"
    with served(tmp_path, kept=home) as (address, _), visited(drawing_browser, address, reduced_motion="reduce") as page:
        page.emulate_media(reduced_motion="reduce")
        yield page


def drawn(page):
    """Waits until the part can be turned."""
    expect(page.locator('canvas[data-state="ready"]')).to_have_count(1, timeout=PATIENCE_MS)


def ids(page):
    return page.evaluate("[...document.querySelectorAll('[id]')].map((each) => each.id)")


def test_reports_and_molds_come_and_go_in_one_page(turning):
    page = turning
    quickly(page)
    page.set_input_files("#part", CLIP)
    verdict(page)
    drawn(page)
    assert page.locator("iframe, frame, object, embed").count() == 0
    # The scroll is the window's: nothing around the report scrolls by itself.
    assert page.locator(".answers, #answer, .report").evaluate_all(
        "(all) => all.every((each) => getComputedStyle(each).overflowY === 'visible')")
    # More runs than a browser keeps canvases alive (16): each one is given back.
    for round_ in range(18):
        page.select_option("#plastic", "abs" if round_ % 2 == 0 else "pp")
        page.get_by_role("button", name="Check again").click()
        expect(page.locator("#answer code")).to_contain_text("--plastic=" + ("abs" if round_ % 2 == 0 else "pp"),
                                                             timeout=PATIENCE_MS)
        verdict(page)
        drawn(page)
        if round_ == 2:
            names = ids(page)
            assert len(names) == len(set(names)), [name for name in names if names.count(name) > 1]
            assert faults(page) == []
    # The part turns.
    page.locator("canvas").focus()
    before = int(page.locator("canvas").get_attribute("data-frames"))
    page.keyboard.press("ArrowLeft")
    expect(page.locator("canvas")).not_to_have_attribute("data-frames", str(before))
    # A mold, and the check again.
    if page.get_by_text("Make the mold all the same").count():
        page.get_by_text("Make the mold all the same").click()
    # The hook of the clip traps it: it is stripped off.
    page.get_by_text("Choices of the mold").click()
    page.get_by_label("The part is stripped off what traps it").check()
    page.get_by_role("button", name="Make the mold", exact=True).click()
    expect(page.locator("#answer h1")).to_have_text("Mold for cable_clip.stl", timeout=PATIENCE_MS)
    verdict(page)
    drawn(page)
    assert page.locator("canvas").get_attribute("aria-label").startswith("The mold")
    page.get_by_role("button", name="Open check of cable_clip.stl").first.click()
    expect(page.locator("#answer h1")).to_have_text("cable_clip.stl")
    drawn(page)
    assert page.locator("canvas").get_attribute("aria-label").startswith("The part")


def test_anchors_units_and_folds_work_and_stay(turning):
    page = turning
    quickly(page)
    page.set_input_files("#part", BRACKET)
    verdict(page)
    drawn(page)
    # An anchor opens what it names and shows it.
    page.locator("nav.contents").get_by_role("link", name="Numbers").click()
    expect(page.locator("details#numbers")).to_have_attribute("open", "")
    assert page.locator("details#numbers summary").evaluate("(it) => Math.abs(it.getBoundingClientRect().top) < 150")
    # The switch of units holds for the next report too.
    page.get_by_role("button", name="Show inches").click()
    assert " in" in page.locator("#answer .counted, #numbers").last.inner_text()
    page.select_option("#plastic", "abs")
    page.get_by_role("button", name="Check again").click()
    expect(page.locator("#answer code")).to_contain_text("--plastic=abs", timeout=PATIENCE_MS)
    verdict(page)
    assert page.get_by_role("button", name="Show mm").count() == 1
    assert page.locator("html").get_attribute("data-units") == "in"
    # A step that names a cause goes to its place on the part.
    page.locator(".first_steps a").first.click()
    expect(page.locator("[data-is=chosen]")).not_to_have_text("")
    assert in_view(page, "#answer .chosen")
    page.get_by_role("button", name="Back to the cause").click()
    assert page.evaluate("document.activeElement.dataset.cause") == "0"


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_paper_has_the_report_and_nothing_of_the_page_around_it(turning, scheme):
    page = turning
    page.emulate_media(color_scheme=scheme)
    quickly(page)
    page.set_input_files("#part", CLIP)
    verdict(page)
    drawn(page)
    assert faults(page) == []
    page.emulate_media(media="print", color_scheme=scheme)
    for gone in (".bar", "form.drawer", ".own", "#files-box", "canvas", "nav.contents"):
        expect(page.locator(gone).first).to_be_hidden()
    for there in ("#verdict", "#answer h1", ".questions", "#causes"):
        expect(page.locator(there)).to_be_visible()
    assert page.evaluate("getComputedStyle(document.body).color") == "rgb(29, 35, 41)"


def test_the_answer_stands_before_the_pictures_do_and_nothing_moves_when_they_come(turning):
    page = turning
    quickly(page)
    page.set_input_files("#part", BRACKET)
    # First the part, to be turned; then the answer; then the pictures.
    drawn(page)
    expect(page.locator("#answer h1")).to_have_text("lamp_bracket.stl")
    assert page.locator(".questions").count() == 0 and page.locator("#progress").is_visible()
    expect(page.locator(".questions dt")).to_have_count(6, timeout=PATIENCE_MS)
    early = page.evaluate("""() => ({
        goesOn: !document.getElementById("progress").hidden, pictures: document.querySelectorAll("figure img").length,
        canvas: document.querySelectorAll("canvas[data-state=ready]").length,
        wide: document.querySelector(".answer").getBoundingClientRect().width })""")
    assert early["goesOn"] and early["pictures"] == 0 and early["canvas"] == 1
    words = page.locator("#verdict .words").inner_text()
    # What is opened meanwhile stays open.
    page.evaluate("document.getElementById('numbers').open = true")
    assert verdict(page) == words
    drawn(page)
    expect(page.locator("details#numbers")).to_have_attribute("open", "")
    assert page.evaluate("document.activeElement.id") == "verdict"
    assert abs(page.locator(".answer").evaluate("(it) => it.getBoundingClientRect().width") - early["wide"]) < 1


def hear_that_checks_were_quick(page):
    """Whatever a check takes on a busy machine, the page hears of a second."""
    def quick(value):
        if isinstance(value, list):
            return [quick(each) for each in value]
        if isinstance(value, dict):
            return {key: 1.0 if key == "seconds" and each is not None else quick(each) for key, each in value.items()}
        return value

    def answer(route):
        reply = route.fetch()
        route.fulfill(response=reply, json=quick(reply.json()))

    page.route(re.compile(r"/(session|runs/\d+)$"), lambda route: answer(route) if route.request.method == "GET" else route.continue_())


def test_it_checks_by_itself_after_a_quick_check_and_only_then(turning):
    page = turning
    hear_that_checks_were_quick(page)
    quickly(page)
    page.get_by_label("Check by itself").check()
    page.set_input_files("#part", CLIP)
    verdict(page)
    page.evaluate("scrollTo(0, 400)")
    page.select_option("#plastic", "abs")
    assert "you changed Plastic" in page.locator("#stale-why").inner_text()
    page.locator("#plastic").focus()
    # What comes above it, as the list of runs, scrolls the window so that the field stays in its place.
    top = "document.getElementById('plastic').getBoundingClientRect().top"
    looked_at = page.evaluate(top)
    expect(page.locator("#answer code")).to_contain_text("--plastic=abs", timeout=PATIENCE_MS)
    verdict(page)
    expect(page.locator("#stale-why")).to_be_hidden()
    # Nothing was moved, and the focus is where it was.
    assert page.evaluate("document.activeElement.id") == "plastic" and abs(page.evaluate(top) - looked_at) < 1
    # What is wrong stands at its field, which keeps the focus.
    page.locator("#pull").fill("up")
    page.keyboard.press("Tab")
    expect(page.locator("#pull-error")).to_contain_text("+z")
    assert page.evaluate("document.activeElement.id") != "pull"
    page.locator("#pull").fill("")
    page.keyboard.press("Tab")
    page.get_by_label("Check by itself").uncheck()
    count = page.locator("#run-rows tr").count()
    page.select_option("#plastic", "pp")
    page.wait_for_timeout(1500)
    assert page.locator("#run-rows tr").count() == count
    expect(page.locator("#again")).to_be_visible()
    # The switch is as it was when the page is loaded again.
    page.reload()
    expect(page.get_by_label("Check by itself")).not_to_be_checked()


def test_what_is_kept_is_shown_and_erased_and_the_drawer_stays_as_it_was(drawing_browser, tmp_path):  # noqa: F811
    home = tmp_path / "home"
    with served(tmp_path, kept=home) as (address, _), visited(drawing_browser, address) as page:
        expect(page.locator("#kept-folder")).to_contain_text("Nothing yet")
        page.get_by_role("button", name="Describe your press").click()
        page.locator("#press-name").fill("the bench press")
        page.get_by_role("button", name="Use this press").click()
        quickly(page)
        page.set_input_files("#part", CLIP)
        verdict(page)
        page.get_by_text("Kept on this machine").click()
        expect(page.locator("#kept-files")).to_contain_text("press.toml")
        page.get_by_role("button", name="Hide choices").click()
        expect(page.locator("form.drawer")).to_be_hidden()
        expect(page.get_by_role("button", name="Show choices")).to_have_attribute("aria-expanded", "false")
        assert faults(page) == []
        page.wait_for_timeout(500)
    assert "the bench press" in (home / "press.toml").read_text(encoding="utf-8")
    with served(tmp_path, kept=home) as (address, _), visited(drawing_browser, address) as page:
        page.get_by_role("button", name="Show choices").click()
        expect(page.locator("#press option:checked")).to_contain_text("the bench press")
        page.get_by_text("Kept on this machine").click()
        page.get_by_role("button", name="Erase press.toml").click()
        expect(page.locator("#kept-files")).not_to_contain_text("press.toml")
    assert [path.name for path in home.iterdir()] == ["settings.toml"]


def test_a_run_that_is_killed_is_one_line_in_the_page(drawing_browser, tmp_path):  # noqa: F811
    with served(tmp_path) as (address, server), visited(drawing_browser, address) as page:
        page.get_by_text("More choices").click()
        page.get_by_label("Cells for filling").fill("400000")
        page.set_input_files("#part", BRACKET)
        expect(page.locator("#steps li.now")).to_contain_text("filling", timeout=PATIENCE_MS)
        for child in children(server.pid):
            os.kill(child, signal.SIGKILL)
        expect(page.locator("#error")).to_contain_text("lamp_bracket.stl: the run broke off", timeout=10_000)
        assert faults(page) == []
        page.get_by_label("Cells for filling").fill("")
        page.get_by_label("Do not look whether it fills").check()
        page.get_by_role("button", name="Check", exact=True).click()
        verdict(page)
        # A stop is at once.
        page.get_by_label("Do not look whether it fills").uncheck()
        page.get_by_label("Cells for filling").fill("400000")
        page.get_by_role("button", name="Check", exact=True).click()
        # A step that lasts: shorter ones may pass between two looks.
        expect(page.locator("#step")).to_contain_text("filling", timeout=PATIENCE_MS)
        began = time.monotonic()
        page.locator("#stop").click()
        expect(page.locator("#stopped")).to_contain_text("Stopped.")
        assert time.monotonic() - began < 2


def children(pid):
    """The processes that a process has started, as Linux lists them."""
    lists = pathlib.Path(f"/proc/{pid}/task").glob("*/children")
    return [int(each) for each in " ".join(path.read_text() for path in lists).split()]


def test_a_part_that_is_exported_into_the_folder_is_checked(drawing_browser, tmp_path):  # noqa: F811
    exports = tmp_path / "exports"
    exports.mkdir()
    with served(tmp_path, "exports") as (address, _), visited(drawing_browser, address) as page:
        expect(page.locator(".empty")).to_contain_text("exported to exports")
        quickly(page)
        page.wait_for_timeout(500)
        shutil.copy(CLIP, exports / "clip.stl")
        expect(page.locator("#answer h1")).to_have_text("clip.stl", timeout=PATIENCE_MS)
        verdict(page)
        assert page.locator("#part-name").inner_text().startswith("clip.stl: ")
        shutil.copy(PLUG, exports / "plug.stl")
        expect(page.locator("#answer h1")).to_have_text("plug.stl", timeout=PATIENCE_MS)
        verdict(page)
        (exports / "photo.stl").write_bytes(b"no part")
        expect(page.locator("#notice")).to_contain_text("photo.stl: ", timeout=15_000)
        assert faults(page) == []


@pytest.mark.parametrize("width", [390, 1024, 1440])
def test_the_first_screen_fits(turning, width):
    page = turning
    page.set_viewport_size({"width": width, "height": 900})
    quickly(page)
    page.set_input_files("#part", BRACKET)
    verdict(page)
    drawn(page)
    page.evaluate("scrollTo(0, 0)")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    if width > 800:
        # The verdict, the six questions and the part in one window.
        assert in_view(page, "#verdict") and in_view(page, ".questions")
    if width == 1440:
        assert in_view(page, "canvas")
    assert faults(page) == []
