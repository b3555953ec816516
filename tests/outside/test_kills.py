"""A kill at any moment of writing leaves the old report whole or the new one whole, and the next run clears the rest.

GOODSHOT_KILLS sets how many kills each command gets; the usual few keep the suite short. Alone, at length:

    GOODSHOT_KILLS=200 pytest tests/outside/test_kills.py
"""

import os
import random
import signal
import subprocess
import time

import pytest

from conftest import PROGRAM, ROOT, goodshot

KILLS = int(os.environ.get("GOODSHOT_KILLS", "20"))
PLUG = ROOT / "models/bar_end_plug.stl"
# Two answers that differ in every file that matters; the pictures of the filling, and those of the cutters, are in one
# only.
CHECKS = (("check", PLUG, "--no-fill", "--no-mill", "--plastic", "abs", "--quiet"),
          ("check", PLUG, "--cells", "1000", "--no-mill", "--plastic", "pp", "--quiet"))
MOLDS = (("mold", PLUG, "--no-fill", "--no-mill", "--plastic", "abs", "--quiet"),
         ("mold", PLUG, "--no-fill", "--plastic", "pp", "--quiet"))
MINE = {"notes.txt": b"mine", "maps/mine.png": b"mine too"}


def files(folder):
    """All files below a folder by name, hidden ones too."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def killed(words, out, begins, rng):
    """One run that is killed: at any moment, or soon after it begins to write."""
    running = subprocess.Popen([PROGRAM, *map(str, words), "--out", out], stdin=subprocess.DEVNULL,
                               stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    if rng.random() < 0.2:
        time.sleep(rng.uniform(0, 1))
    else:
        while running.poll() is None and not begins.exists():
            time.sleep(0.0002)
        time.sleep(rng.choice((0, rng.uniform(0, 0.01), rng.uniform(0, 0.1))))
    running.send_signal(signal.SIGKILL)
    return running.wait() == -signal.SIGKILL


@pytest.mark.parametrize("runs, below", [(CHECKS, ""), (MOLDS, "mold")], ids=["check", "mold"])
def test_a_kill_leaves_the_old_or_the_new_report_whole(runs, below, tmp_path):
    rng = random.Random(21)
    whole = []
    for number, words in enumerate(runs):
        out = tmp_path / f"whole{number}"
        assert goodshot(*words, "--out", out).returncode in (0, 1, 3)
        whole.append(files(out / PLUG.stem / below) | MINE)
    assert whole[0].keys() != whole[1].keys(), "both answers write the same files"

    out = tmp_path / "out"
    folder = out / PLUG.stem / below
    goodshot(*runs[0], "--out", out)
    for name, content in MINE.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_bytes(content)
    begins = folder.with_name(f".{folder.name}.goodshot-new")
    stopped = 0
    for number in range(KILLS):
        stopped += killed(runs[(number + 1) % 2], out, begins, rng)
        left = files(folder)
        assert left in whole, f"kill {number}: a mix of {sorted(left)}"
    assert stopped > KILLS / 4, "most runs ended before they were killed"

    goodshot(*runs[1], "--out", out)
    assert files(folder) == whole[1]
    assert [path.name for path in folder.parent.iterdir()] == [folder.name]


@pytest.mark.parametrize("runs, below", [(CHECKS, ""), (MOLDS, "mold")], ids=["check", "mold"])
def test_two_runs_in_one_folder_wait_for_each_other(runs, below, tmp_path):
    whole = []
    for number, words in enumerate(runs):
        goodshot(*words, "--out", tmp_path / f"whole{number}")
        whole.append(files(tmp_path / f"whole{number}" / PLUG.stem / below))
    out = tmp_path / "out"
    for _ in range(3):
        both = [subprocess.Popen([PROGRAM, *map(str, words), "--out", out], stderr=subprocess.PIPE) for words in runs]
        for running in both:
            _, error = running.communicate(timeout=300)
            assert running.returncode in (0, 1, 3), error
        assert files(out / PLUG.stem / below) in whole
        assert [path.name for path in out.iterdir()] == [PLUG.stem]
