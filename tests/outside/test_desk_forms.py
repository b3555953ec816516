"""Plastic and cutters of one's own by form; the files that come of it are those that the commands read."""

import pytest
from playwright.sync_api import expect

from test_desk import CLIP, browser, desk, faults, page, printed, quickly, verdict  # noqa: F401


def saved(page, form, path):  # noqa: F811
    """The file that a form saves."""
    page.wait_for_timeout(600)
    with page.expect_download() as waited:
        page.locator(f"#{form}-save").click()
    path.write_bytes(waited.value.path().read_bytes())
    return path


def test_a_plastic_like_a_known_one_with_the_rate_of_its_bag(page, tmp_path_factory):  # noqa: F811
    folder = tmp_path_factory.mktemp("plastic")
    quickly(page)
    page.get_by_role("button", name="Describe your plastic").click()
    facts = page.locator("#plastic-facts")
    expect(facts).to_contain_text("1 times as much as")
    page.locator('[name="mfr.rate"]').fill("12")
    expect(facts).not_to_contain_text("1 times as much as")
    expect(facts).to_contain_text("times as much as")
    assert faults(page) == []
    # What is wrong stands at its field.
    page.locator('[name="mfr.at"]').fill("900")
    expect(page.locator(".field-error")).to_contain_text("100 °C to 450 °C")
    assert page.locator('[name="mfr.rate"], [name="mfr.at"]').locator("xpath=self::*[@aria-invalid]").count() == 1
    assert faults(page) == []
    page.locator('[name="mfr.at"]').fill("")
    page.locator('[name="melt_temperature.typical"]').fill("460")
    page.locator('[data-unit-of="melt_temperature.typical"]').select_option("F")
    expect(page.locator(".field-error")).to_have_count(0)
    # 460 °F are 237.8 °C.
    expect(facts).to_contain_text("usually 238 °C")
    file = saved(page, "plastic", folder / "caps.toml")
    shown = printed("plastics", "our_caps", "--plastics", file)
    assert "our caps" in shown and "12 g/10min at 230 °C, 2.16 kg" in shown
    # Opened again, the form is the same.
    page.locator('[name="mfr.rate"]').fill("")
    page.locator("#plastic-load").set_input_files(file)
    expect(page.locator('[name="mfr.rate"]')).to_have_value("12")
    expect(page.locator('[name="melt_temperature.typical"]')).to_have_value("460")
    page.locator("#plastic-load").set_input_files({"name": "no.toml", "mimeType": "text/plain", "buffer": b"name = 3"})
    expect(page.locator("#plastic-problem")).to_contain_text("no.toml: ")
    page.get_by_role("button", name="Use this plastic").click()
    expect(page.locator("#plastic-dialog")).to_be_hidden()
    expect(page.locator("#plastic")).to_have_value("our_caps")
    page.set_input_files("#part", CLIP)
    verdict(page)
    expect(page.locator("#answer code")).to_contain_text("--plastic=our_caps")
    assert "our caps" in page.locator(".judged").inner_text()


def test_cutters_in_inches(page, tmp_path_factory):  # noqa: F811
    folder = tmp_path_factory.mktemp("cutters")
    page.get_by_role("button", name="Describe your cutters").click()
    rows, facts = page.locator("#cutter-rows .cutter"), page.locator("#cutter-facts")
    expect(rows).to_have_count(5)
    expect(facts.locator("dt")).to_have_count(5)
    for _ in range(4):
        rows.last.get_by_role("button", name="Remove").click()
    expect(facts.locator("dt")).to_have_count(1)
    page.locator("#cutter-unit").select_option("in")
    for key, value in (("diameter", "1/8"), ("flute", "1/2"), ("reach", ""), ("shank", "1/8"), ("stickout", "3/4")):
        page.locator(f'[name="cutter.0.{key}"]').fill(value)
    # 1/2 in are 12.7 mm, four diameters.
    expect(facts).to_contain_text("12.7 mm deep, 4 diameters")
    page.get_by_role("button", name="Add a cutter").click()
    assert page.evaluate("document.activeElement.id") == "cutter-1-kind"
    page.locator('[name="cutter.1.kind"]').select_option("ball")
    expect(page.locator('[name="cutter.1.corner_radius"]')).to_be_hidden()
    page.locator('[name="cutter.1.stickout"]').fill("1/4")
    expect(page.locator(".field-error")).to_contain_text("not shorter than the reach")
    assert page.locator('[name="cutter.1.stickout"]').get_attribute("aria-invalid") == "true"
    assert faults(page) == []
    page.get_by_role("button", name="Use these cutters").click()
    expect(page.locator('[name="cutter.1.stickout"]')).to_be_focused()
    page.locator('[name="cutter.1.stickout"]').fill("20 mm")
    expect(page.locator(".field-error")).to_have_count(0)
    file = saved(page, "cutter", folder / "ours.toml")
    listed = printed("cutters", file)
    for name in facts.locator("dt").all_inner_texts():
        assert name in listed
    assert '"1/8 in"' in file.read_text(encoding="utf-8")
    page.get_by_role("button", name="Use these cutters").click()
    expect(page.locator("#tools option:checked")).to_contain_text("2 cutters")


@pytest.mark.parametrize("form", ["plastic", "cutter"])
@pytest.mark.parametrize("width", [390, 1280])
def test_the_forms_fit(page, form, width):  # noqa: F811
    page.set_viewport_size({"width": width, "height": 844})
    page.locator(f"#{form}-describe").click()
    expect(page.locator(f"#{form}-facts dd").first).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    box = page.locator(f"#{form}-dialog").evaluate("(found) => [found.scrollWidth, found.clientWidth]")
    assert box[0] <= box[1]
    assert faults(page) == []
    page.keyboard.press("Escape")
    assert page.evaluate("document.activeElement.id") == f"{form}-describe"


def test_the_cause_of_a_bad_part_is_found_from_what_it_shows(page):  # noqa: F811
    page.get_by_text("More choices").click()
    page.get_by_label("Cells for filling").fill("1000")
    page.get_by_label("Check by itself").uncheck()
    page.set_input_files("#part", CLIP)
    verdict(page)
    page.get_by_text("Find the cause by this part's own numbers").click()
    assert page.locator("#shot-form .sketch").count() == 10
    assert faults(page) == []
    page.get_by_role("radio", name="flash: a film of plastic").check()
    page.locator("#shot-set").fill("4 apples")
    page.get_by_role("button", name="Find the cause").click()
    expect(page.locator("#shot-set-error")).to_contain_text("4 apples")
    page.locator("#shot-set").fill("6 bar")
    page.get_by_role("button", name="Find the cause").click()
    expect(page.locator("#verdict")).to_have_text("What went wrong: cable_clip.stl", timeout=180_000)
    expect(page.get_by_role("link", name="why.html")).to_be_visible()
    assert "Seen: flash" in page.locator("#answer").inner_text()
    assert page.locator("#answer li.cause").count() >= 1
    expect(page.locator("#answer code")).to_contain_text("goodshot why cable_clip.stl")
    assert faults(page) == []
