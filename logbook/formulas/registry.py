"""The table of every calculation. Pages, terminal and reference are made from it; nothing else lists them."""

from __future__ import annotations

import difflib
from collections.abc import Callable
from functools import cache
from types import MappingProxyType
from typing import Any

from logbook.formulas import geometry as g
from logbook.formulas.refusals import UnknownCalculation
from logbook.formulas.rows import Row, make

_Line = tuple[Callable[..., Any], str, str]

_TABLE: dict[str, tuple[_Line, ...]] = {
    "geometry": (
        (g.displacement, "bore_mm stroke_mm cylinders", "displacement_cc displacement_cu_in"),
        (
            g.clearance_volume,
            "bore_mm chamber_cc piston_cc gasket_bore_mm gasket_thickness_mm deck_clearance_mm stroke_mm",
            "gasket_cc deck_cc clearance_cc",
        ),
        (
            g.static_compression_ratio,
            "bore_mm stroke_mm chamber_cc piston_cc gasket_bore_mm gasket_thickness_mm deck_clearance_mm",
            "compression_ratio",
        ),
        (g.quench_height, "deck_clearance_mm gasket_thickness_mm", "quench_mm quench_in"),
        (g.piston_position, "stroke_mm rod_mm crank_deg_after_crank_top pin_offset_mm", "depth_below_tdc_mm"),
        (g.effective_stroke, "crank_throw_mm rod_mm pin_offset_mm", "stroke_mm tdc_crank_deg"),
        (g.mean_piston_speed, "stroke_mm rpm", "speed_m_s speed_ft_min"),
        (g.rod_ratio, "stroke_mm rod_mm", "rod_ratio"),
        (g.trapped_compression_ratio, "stroke_mm rod_mm static_cr ivc_deg_abdc", "trapped_cr"),
        (
            g.cam_timing_from_events,
            "intake_open_deg_btdc intake_close_deg_abdc exhaust_open_deg_bbdc exhaust_close_deg_atdc",
            "intake_duration_deg exhaust_duration_deg intake_centreline_deg_atdc exhaust_centreline_deg_btdc "
            "lobe_separation_cam_deg overlap_deg",
        ),
    ),
}


@cache
def rows() -> MappingProxyType[str, Row]:
    """Every calculation by its name, in the order of the table."""
    made = (make(subject, *line) for subject, lines in _TABLE.items() for line in lines)
    return MappingProxyType({row.name: row for row in made})


def find(name: str) -> Row:
    """The row of this name; an unknown name is refused with the nearest ones."""
    folded = name.strip().casefold().replace("-", "_").replace(" ", "_")
    if folded in rows():
        return rows()[folded]
    near = search(name)[:5] or [rows()[n] for n in difflib.get_close_matches(folded, rows(), 3, 0.5)]
    hint = "no such calculation" + (f"; near: {', '.join(r.name for r in near)}" if near else "")
    raise UnknownCalculation("calculation", name, hint)


def search(words: str) -> list[Row]:
    """Rows that hold every word in name, title, subject or formula's words."""
    wanted = words.casefold().replace("_", " ").split()
    return [row for row in rows().values() if all(w in _said(row) for w in wanted)]


def subjects() -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = {}
    for row in rows().values():
        found.setdefault(row.subject, []).append(row)
    return found


@cache
def _said(row: Row) -> str:
    words = [row.name.replace("_", " "), row.title, row.subject, *(i.words for i in row.inputs)]
    return " ".join(words).casefold()
