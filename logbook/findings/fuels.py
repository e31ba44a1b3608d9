"""What fuel the log's 'fuel' line names, as far as numbers need it."""

from __future__ import annotations

import re
from dataclasses import dataclass

from logbook.findings.making import USUAL, Fed
from logbook.formulas.mixture import fuel_blend_by_volume, stoich_afr
from logbook.formulas.power import lower_heating_value
from logbook.formulas.quantities import PETROL_H_PER_C, PETROL_KG_M3
from logbook.job.model import Job

_ETHANOL = re.compile(r"\bE\s?(\d{1,3})\b", re.I)


@dataclass(frozen=True, slots=True)
class Fuel:
    """``ethanol`` in percent by volume, None where the log does not say."""

    name: str
    ethanol: float | None
    afr: float
    density_kg_m3: float
    entries: tuple[int, ...] = ()

    @property
    def heat_j_kg(self) -> float:
        """Lower heating value, by the shares of mass; of petrol where the log does not say."""
        share = fuel_blend_by_volume(self.ethanol).ethanol_mass_fraction if self.ethanol else 0.0
        return share * lower_heating_value("ethanol") + (1 - share) * lower_heating_value("petrol")

    @property
    def more_than_petrol(self) -> float:
        """Fuel by mass for the same heat, against petrol."""
        return lower_heating_value("petrol") / self.heat_j_kg

    @property
    def source(self) -> str:
        return "" if self.entries and self.ethanol is not None else USUAL

    def density(self, key: str) -> Fed:
        shown = f"{self.density_kg_m3:.0f} kg/m3"
        return Fed(key, self.density_kg_m3, shown, self.entries, 10.0, self.source, f"density of {self.name}")

    def true_ratio(self, key: str) -> Fed:
        what = f"true air-fuel ratio of {self.name}"
        return Fed(key, self.afr, f"{self.afr:.2f}", self.entries, 0.1, self.source, what)


def fuel_of(job: Job) -> Fuel:
    """The fuel in the tank; petrol where nothing is said."""
    entry = next((e for e in reversed(job.entries) if e.entry.kind == "fuel"), None)
    text = entry.entry.text if entry is not None else ""
    entries = (entry.entry.index,) if entry is not None else ()
    found = _ETHANOL.search(text)
    if found and float(found[1]) <= 100:
        blend = fuel_blend_by_volume(float(found[1]))
        return Fuel(f"E{found[1]}", float(found[1]), blend.afr_mass, blend.density_kg_m3, entries)
    ethanol = 0.0 if re.search(r"\b(no|without|free of)\b.{0,12}\b(alcohol|ethanol)", text, re.I) else None
    name = "petrol" if job.units != "us" else "gasoline"
    return Fuel(name, ethanol, stoich_afr(1, PETROL_H_PER_C), PETROL_KG_M3, entries)
