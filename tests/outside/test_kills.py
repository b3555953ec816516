"""A kill at any moment of writing leaves the old report whole or the new one whole, and the next run clears the rest.

GOODSHOT_KILLS sets how many kills each command gets at random moments, GOODSHOT_KILLS_BY_CALL how many at each kind of system
call (by strace, which sends the signal as the call begins); the usual few keep the suite short. Alone, at length:

    GOODSHOT_KILLS=200 GOODSHOT_KILLS_BY_CALL=40 pytest tests/outside/test_kills.py
"""

import collections
import os
import random
import re
import signal
import subprocess
import time

import pytest

from conftest import PROGRAM, ROOT, goodshot

KILLS = int(os.environ.get("GOODSHOT_KILLS", "20"))
KILLS_BY_CALL = int(os.environ.get("GOODSHOT_KILLS_BY_CALL", "1"))
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
    whole = whole_reports(runs, below, tmp_path)
    assert whole[0].keys() != whole[1].keys(), "both answers write the same files"

    out = tmp_path / "out"
    folder = out / PLUG.stem / below
    goodshot(*runs[0], "--out", out)
    put_mine(folder)
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


def whole_reports(runs, below, tmp_path):
    """The files of both answers, with those of the user."""
    whole = []
    for number, words in enumerate(runs):
        out = tmp_path / f"whole{number}"
        assert goodshot(*words, "--out", out).returncode in (0, 1, 3)
        whole.append(files(out / PLUG.stem / below) | MINE)
    return whole


def put_mine(folder):
    for name, content in MINE.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_bytes(content)


def traced(words, out, *options):
    """One run under strace."""
    return subprocess.run(["strace", "-f", "-qq", *options, PROGRAM, *map(str, words), "--out", out],
                          stdin=subprocess.DEVNULL, capture_output=True, timeout=300, check=False)


def calls_of_writing(words, out, hidden, log):
    """For each kind of system call, of the thread that writes, the numbers of those from the first that names the new
    folder on: strace counts in each thread by itself."""
    done = traced(words, out, "-o", log)
    assert done.returncode in (0, 1, 3), done.stderr
    lines = [line.split(maxsplit=1) for line in log.read_text(errors="replace").splitlines()]
    writer = next(thread for thread, call in lines if hidden in call)
    seen, numbers, begun = collections.Counter(), collections.defaultdict(list), False
    for thread, call in lines:
        name = re.match(r"(\w+)\(", call)
        if thread != writer or not name:
            continue
        begun |= hidden in call
        seen[name[1]] += 1
        if begun and not name[1].startswith("exit"):
            numbers[name[1]].append(seen[name[1]])
    return numbers


def spread(numbers, count):
    """So many of them, from the first to the last."""
    if len(numbers) <= count:
        return numbers
    if count == 1:
        return [numbers[len(numbers) // 2]]
    return [numbers[round(place * (len(numbers) - 1) / (count - 1))] for place in range(count)]


@pytest.mark.parametrize("runs, below", [(CHECKS, ""), (MOLDS, "mold")], ids=["check", "mold"])
def test_a_kill_at_any_system_call_leaves_the_old_or_the_new_report_whole(runs, below, tmp_path):
    whole = whole_reports(runs, below, tmp_path)
    out = tmp_path / "out"
    folder = out / PLUG.stem / below
    goodshot(*runs[1], "--out", out)
    put_mine(folder)
    # The shorter run is the one that is killed; the other makes the folder what it was.
    calls = calls_of_writing(runs[0], out, f".{folder.name}.goodshot-new", tmp_path / "log")
    assert {"write", "fsync", "mkdir", "linkat", "renameat2", "unlinkat"} <= calls.keys(), sorted(calls)
    stopped = collections.Counter()
    for name, numbers in sorted(calls.items()):
        for number in spread(numbers, KILLS_BY_CALL):
            traced(runs[0], out, "-o", os.devnull, "-e", f"trace={name}", "-e", f"inject={name}:signal=KILL:when={number}")
            left = files(folder)
            assert left in whole, f"kill at {name} {number}: a mix of {sorted(left)}"
            hidden = [path.name for path in folder.parent.iterdir() if path != folder]
            stopped[name] += bool(hidden) or left == whole[1]
            goodshot(*runs[1], "--out", out)
            assert files(folder) == whole[1], f"after a kill at {name} {number}"
            assert [path.name for path in folder.parent.iterdir()] == [folder.name], f"{name} {number}: something is left"
    print({name: f"{stopped[name]} of {len(spread(numbers, KILLS_BY_CALL))}" for name, numbers in calls.items()})
    assert sum(stopped.values()) > len(calls) / 2, "most runs ended before they were killed"


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
