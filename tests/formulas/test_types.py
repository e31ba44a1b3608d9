"""Gauge and absolute pressure are types of their own: the type checker refuses to take one for the other."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
USES = (
    "from logbook.formulas.quantities import Absolute, Gauge, absolute\n"
    "from logbook.formulas.cranking import cranking_pressure\n"
)


@pytest.mark.parametrize(
    ("line", "fine"),
    [
        ("absolute(Gauge(1.0), Absolute(1.0))", True),
        ("absolute(Absolute(1.0), Gauge(1.0))", False),
        ("cranking_pressure(8.0, 1.3, Absolute(1e5))", True),
        ("cranking_pressure(8.0, 1.3, Gauge(1e5))", False),
        ("cranking_pressure(8.0, 1.3, 1e5)", False),
    ],
)
def test_one_is_not_the_other(line: str, fine: bool, tmp_path: Path) -> None:
    file = tmp_path / "uses.py"
    file.write_text(USES + line + "\n", encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "mypy", "--strict", "--follow-imports=silent", str(file)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode == 0) == fine, done.stdout
    if not fine:
        assert "arg-type" in done.stdout
