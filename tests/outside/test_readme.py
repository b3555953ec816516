"""Every command that README.md shows runs as it stands, one after the other, in one folder with the demo part."""

import os
import re
import shutil
import subprocess

from conftest import PROGRAM, ROOT

# What waits for a person.
WAITS = ("goodshot desk", "--watch")


def commands():
    """The lines of all blocks that begin with the program, without what explains them."""
    blocks = re.findall(r"```text\n(.*?)```", (ROOT / "README.md").read_text(), re.DOTALL)
    lines = [line for block in blocks for line in block.splitlines()]
    shown = [re.split(r"\s{3,}", line)[0].rstrip() for line in lines if line.startswith("goodshot ")]
    return [line for line in shown if not any(word in line for word in WAITS)]


def test_the_blocks_of_the_readme_run_one_after_the_other(tmp_path):
    for name in ("part.stl", "old.stl", "new.stl"):
        shutil.copy(ROOT / "models/bar_end_plug.stl", tmp_path / name)
    path = f"{PROGRAM.parent}{os.pathsep}{os.environ['PATH']}"
    shown = commands()
    assert len(shown) > 15, shown
    for line in shown:
        before = {file: file.read_bytes() for file in tmp_path.glob("*.toml")}
        done = subprocess.run(line, shell=True, cwd=tmp_path, env=os.environ | {"PATH": path}, stdin=subprocess.DEVNULL,
                              capture_output=True, encoding="utf-8", timeout=300, check=False)
        assert done.returncode in (0, 1, 3), f"{line}\n{done.stderr}"
        for file, content in before.items():
            assert file.read_bytes() == content, f"{line} overwrites {file.name}"
