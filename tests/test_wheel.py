"""The built wheel, installed alone, builds a log: templates, tables and schema are inside it."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def run(*command: str, cwd: Path, **env: str) -> str:
    done = subprocess.run(command, cwd=cwd, capture_output=True, text=True, env={**os.environ, **env})
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_the_wheel_builds_a_log(tmp_path: Path) -> None:
    build = (sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(tmp_path), str(ROOT))
    run(*build, cwd=tmp_path)
    (wheel,) = tmp_path.glob("shop_logbook-*.whl")
    names = zipfile.ZipFile(wheel).namelist()
    assert "logbook/_templates/base.html" in names
    assert "logbook/_samples/hay-baler.txt" in names
    assert not [name for name in names if name.startswith(("tests/", "sample_logs/", "site/"))]

    installed = tmp_path / "installed"
    pip = (sys.executable, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--no-deps", "--no-index")
    run(*pip, "--target", str(installed), str(wheel), cwd=tmp_path)
    (tmp_path / "van.txt").write_text(
        "job: Parcel van\nengine: inline 4, fires 1 3 4 2, coil on plug\nunits: metric\n\n"
        "2026-05-04\ncut-out: 1 70, 2 65, 3 0, 4 71\n",
        encoding="utf-8",
    )
    alone = {"PYTHONPATH": str(installed), "LOGBOOK_CACHE": str(tmp_path / "cache")}
    where = run(sys.executable, "-c", "import logbook; print(logbook.__file__)", cwd=tmp_path, **alone)
    assert Path(where.strip()).is_relative_to(installed)
    run(sys.executable, "-m", "logbook", "report", "van.txt", cwd=tmp_path, **alone)
    page = (tmp_path / "site/van/index.html").read_text(encoding="utf-8")
    assert "Parcel van" in page
    assert list((tmp_path / "site/static").glob("style.*.css"))
    run(sys.executable, "-m", "logbook", "sample", "play", cwd=tmp_path, **alone)
    assert len(list((tmp_path / "play").glob("*.txt"))) >= 8
