"""The page in a real browser; collected where there is one (tests/run installs it)."""

import subprocess

import numpy as np
import PIL.Image

from conftest import BROWSER


def test_the_page_renders_without_a_complaint(answer, tmp_path):
    shot = tmp_path / "page.png"
    common = [BROWSER, "--headless", "--no-sandbox", "--disable-dev-shm-usage", "--use-angle=swiftshader",
              "--enable-unsafe-swiftshader", "--enable-logging=stderr", f"--user-data-dir={tmp_path / 'profile'}",
              "--virtual-time-budget=5000", "--window-size=1200,1600"]
    page = (answer.folder / "report.html").as_uri()
    dumped = subprocess.run([*common, "--dump-dom", page], capture_output=True, encoding="utf-8", timeout=120, check=True)
    said = [line for line in dumped.stderr.splitlines() if "CONSOLE" in line]
    assert said == []
    assert "lamp_bracket" in dumped.stdout
    subprocess.run([*common, f"--screenshot={shot}", page], capture_output=True, timeout=120, check=True)
    with PIL.Image.open(shot) as picture:
        assert len(np.unique(np.asarray(picture.convert("L")))) > 32
