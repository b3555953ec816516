"""Runs the release program as a user would; GOODSHOT names another one."""

import dataclasses
import json
import os
import pathlib
import shutil
import subprocess

import pytest

ROOT = pathlib.Path(__file__).resolve().parents[2]
PROGRAM = pathlib.Path(os.environ.get("GOODSHOT", ROOT / "target/release/goodshot"))

BRACKET = ROOT / "models/lamp_bracket.stl"
BROWSER = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
PARTS = os.environ.get("GOODSHOT_PARTS")
# What the user of this machine keeps in a folder of their own is no part of a test.
os.environ["GOODSHOT_CONFIG"] = ""

# What cannot be asked here is no test here, rather than one that is passed over.
collect_ignore = ([] if BROWSER else ["test_page.py", "test_mold_page.py", "test_desk.py", "test_desk_report.py", "test_desk_forms.py"]) + ([] if PARTS else ["test_parts.py"])


@dataclasses.dataclass
class Answer:
    """What one run gave: exit code, both streams, and the folder it wrote to."""

    code: int
    out: str
    err: str
    folder: pathlib.Path

    @property
    def report(self):
        assert self.code in (0, 1, 3), f"exit {self.code}: {self.err}"
        return json.loads(self.out)


def goodshot(*words, threads=None):
    """One run of the program."""
    settings = dict(os.environ)
    settings.pop("RAYON_NUM_THREADS", None)
    if threads:
        settings["RAYON_NUM_THREADS"] = str(threads)
    return subprocess.run([PROGRAM, *map(str, words)], stdin=subprocess.DEVNULL, capture_output=True,
                          encoding="utf-8", timeout=300, env=settings, check=False)


def check(path, folder, *words, pull="+z", threads=None):
    """`goodshot check` on one file, the report on standard output; the pull is chosen where none is given."""
    pulled = ("--pull", pull) if pull else ()
    done = goodshot("check", path, "--out", folder, *pulled, "--unit", "mm", "--json", *words, threads=threads)
    return Answer(done.returncode, done.stdout, done.stderr, folder / path.stem)


@pytest.fixture(scope="session")
def checked(tmp_path_factory):
    """`check` that runs each distinct question once a session."""
    seen = {}

    def ask(path, *words, pull="+z"):
        key = (path, words, pull)
        if key not in seen:
            seen[key] = check(path, tmp_path_factory.mktemp("out"), *words, pull=pull)
        return seen[key]

    return ask


@pytest.fixture(scope="session")
def answer(checked):
    """The report on the bracket."""
    return checked(BRACKET, "--plastic", "abs")
