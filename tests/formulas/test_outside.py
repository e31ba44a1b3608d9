"""Outside values of our own finding: textbook problems, standards' tables, trade figures, each with its source.

They stand in ``outside_values.csv``. 'From memory' means that the document named was not opened while writing. 'By
hand' values were worked with pencil and paper from the definition, not with the code under test. The facts that are
'common practice, no source' stand alone, each as a bare value.
"""

import csv
import json
from pathlib import Path

import pytest

from logbook.formulas.working import work

PSI = 6.894757293168361
ROWS = list(csv.DictReader(Path(__file__).with_name("outside_values.csv").read_text(encoding="utf-8").splitlines()))


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_value(row: dict[str, str]) -> None:
    result = work(row["calculation"], json.loads(row["inputs"])).result
    want = json.loads(row["wanted"])
    got = result["pressure_kpa"] / PSI if row["key"] == "pressure_psi" else result[row["key"]]
    if isinstance(want, (bool, str)):
        assert got == want, row["source"]
    else:
        assert got == pytest.approx(want, abs=float(row["abs_tol"])), row["source"]


def test_ids_and_sources_are_there() -> None:
    assert len({row["id"] for row in ROWS}) == len(ROWS) >= 60
    assert all(len(row["source"]) > 5 for row in ROWS)


def test_room_that_oil_takes() -> None:
    """5 to 10 cc of oil in 80 cc raise any cylinder by 8 to 17 % at r 7.5 and n 1.28: common practice, no source."""
    clearance, swept = 80.0, 6.5 * 80.0
    air = {"exponent": 1.28, "ambient_kpa": 101.325}
    dry = work("cranking_pressure", {"trapped_cr": 7.5, **air}).result["gauge_kpa"]
    for oil, low, high in ((5.0, 0.075, 0.095), (10.0, 0.155, 0.185)):
        tighter = (swept + clearance - oil) / (clearance - oil)
        wet = work("cranking_pressure", {"trapped_cr": tighter, **air}).result["gauge_kpa"]
        assert low < wet / dry - 1 < high


def test_clean_display_and_dead_cylinders_do_not_agree_by_chance() -> None:
    """Dilution turns a lean display into a rich cylinder: by the mass balance of air and fuel alone, by hand."""
    shown = work("diluted_lambda_no_fuel", {"cylinders": 6, "firing": 4, "firing_lambda": 0.7}).result
    assert shown["mixture_lambda"] == pytest.approx(1.05)
    assert shown["displayed_afr_at_14_7"] == pytest.approx(15.435)
