"""No path of one machine and no name of its user: neither in the tests nor in what is built."""

from __future__ import annotations

import getpass
import re
import subprocess
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
# Put together here, so that this file does not hold what it looks for.
MACHINE = re.compile(r"(?<![\w.:-])/(?:" + "|".join(["ho" + "me", "ro" + "ot", "wo" + "rk", "Us" + "ers"]) + r")/")


def tracked(folder: str) -> list[Path]:
    run = subprocess.run(["git", "ls-files", "-z", folder], cwd=ROOT, capture_output=True, text=True)
    if run.returncode == 0 and run.stdout:
        return [ROOT / name for name in run.stdout.split("\0") if name and (ROOT / name).is_file()]
    return [path for path in (ROOT / folder).rglob("*") if path.is_file() and "__pycache__" not in path.parts]


def strange_lines(paths: list[Path]) -> list[str]:
    found = []
    for path in paths:
        text = path.read_bytes().decode("utf-8", "replace")
        found += [f"{path.name}: {line.strip()[:80]}" for line in text.splitlines() if MACHINE.search(line)]
    return found


def test_no_absolute_path_in_tests_or_code() -> None:
    assert (
        strange_lines([path for folder in ("tests", "logbook", "templates", "sample_logs") for path in tracked(folder)])
        == []
    )


def test_no_absolute_path_in_the_built_site(sample_site: Path, public_site: Path) -> None:
    for site in (sample_site, public_site):
        files = [path for path in site.rglob("*") if path.is_file() and path.suffix != ".jpg"]
        assert strange_lines(files) == []
        assert [path.name for path in files if str(ROOT).encode() in path.read_bytes()] == []


def test_the_user_is_named_nowhere(sample_site: Path) -> None:
    user = getpass.getuser().encode()
    if len(user) < 5:  # 'root' and its like stand in common words
        user = b"/" + user + b"/"
    files = [path for path in (*sample_site.rglob("*"), *tracked("tests")) if path.is_file()]
    assert [path.name for path in files if user in path.read_bytes()] == []
