"""What every area of the suite shares: hypothesis profiles, the browser, and the samples built once a run."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from filelock import FileLock
from hypothesis import HealthCheck, settings

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command does, before numpy is imported
ROOT = Path(__file__).resolve().parents[1]
SAMPLES = ROOT / "sample_logs"
BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")

settings.register_profile(
    "short", derandomize=True, max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.register_profile(
    "long", max_examples=5000, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
settings.load_profile(os.environ.get("LOGBOOK_HYPOTHESIS", "short"))


@pytest.fixture(autouse=True)
def own_cache(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """No test reads or writes the cache folder of the person who runs it."""
    monkeypatch.setenv("LOGBOOK_CACHE", str(tmp_path_factory.getbasetemp() / "cache"))


@pytest.fixture(scope="session")
def browser_path() -> str:
    """The browser that is there. A missing one fails the tests that need it; it never skips them."""
    named = os.environ.get("LOGBOOK_BROWSER")
    found = named or next((path for name in BROWSERS if (path := shutil.which(name))), None)
    if not found:
        pytest.fail("No browser: install chromium (Debian: apt install chromium) or name one in LOGBOOK_BROWSER.")
    return found


def _built_once(tmp_path_factory: pytest.TempPathFactory, copy: str) -> Path:
    """Both workers share one build of the samples: whoever comes first makes it, the other waits."""
    base = tmp_path_factory.getbasetemp()
    shared = base.parent if os.environ.get("PYTEST_XDIST_WORKER") else base
    site, done = shared / f"samples-{copy}", shared / f"samples-{copy}.done"
    with FileLock(str(done) + ".lock"):
        if not done.exists():
            command = [sys.executable, "-m", "logbook", "report", str(SAMPLES), "--to", str(site), "--copy", copy]
            run = subprocess.run(
                command, capture_output=True, text=True, env={**os.environ, "LOGBOOK_CACHE": str(shared / "cache")}
            )
            assert run.returncode == 0, run.stdout + run.stderr
            done.write_text(run.stdout, encoding="utf-8")
    return site


@pytest.fixture(scope="session")
def sample_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The report of sample_logs/, the shop's own copy. Read it, never write into it."""
    return _built_once(tmp_path_factory, "shop")


@pytest.fixture(scope="session")
def public_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The report of sample_logs/, the public copy. Read it, never write into it."""
    return _built_once(tmp_path_factory, "public")
