"""README's hook before each commit, in a real repository."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

README = Path(__file__).resolve().parents[2] / "README.md"
LOG = (
    "language: 1\njob: Parcel van\nunits: metric\nengine: inline 4, fires 1 3 4 2, coil on plug\nsymptom: shakes\n\n"
    "2026-05-04\ncut-out: 1 70, 2 65, 3 0, 4 70\n"
)


@pytest.mark.skipif(shutil.which("git") is None, reason="no git here")
def test_a_bad_or_untidy_line_is_refused_and_a_difference_can_be_read(tmp_path: Path) -> None:
    lines = next(b for b in re.findall(r"```sh\n(.*?)```", README.read_text(), re.DOTALL) if "git init" in b)
    bin_ = Path(sys.executable).parent
    env = {**os.environ, "PATH": f"{bin_}{os.pathsep}{os.environ['PATH']}", "HOME": str(tmp_path)}
    env |= {f"GIT_{who}_{what}": "x@example.org" for who in ("AUTHOR", "COMMITTER") for what in ("NAME", "EMAIL")}

    def shell(command: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(command, shell=True, cwd=tmp_path, env=env, capture_output=True, text=True)

    def commit(text: str) -> subprocess.CompletedProcess[str]:
        (tmp_path / "van.txt").write_text(text)
        return shell("git add -A && git commit -q -m 'a day'")

    assert shell(lines).returncode == 0
    assert (done := commit(LOG)).returncode == 0, done.stderr + done.stdout
    bad = commit(LOG + "compresion fo 3 was bad\n")
    assert bad.returncode != 0 and "van.txt:9" in bad.stdout + bad.stderr
    untidy = commit(LOG + "spark:3  none\n")
    assert untidy.returncode != 0 and "van.txt is not tidy" in untidy.stdout + untidy.stderr
    assert commit(LOG + "spark: 3 none\n").returncode == 0
    change = shell("git show --format= -U0").stdout.split("@@")[-1]
    assert change.strip().split("\n")[-1] == "+spark: 3 none"
