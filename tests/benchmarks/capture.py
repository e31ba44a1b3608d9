"""What a build renders and draws, caught while it does, so that a floor can do the same bare work."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from markupsafe import Markup

from logbook.output import figures, templates
from logbook.pages.figure_values import Drawn
from logbook.pages.frame import Sheet
from logbook.pages.shelf_row import ShelfRow


@dataclass
class Caught:
    pages: list[tuple[str, dict[str, object]]] = field(default_factory=list)
    specs: list[Drawn] = field(default_factory=list)
    row: ShelfRow | None = None  # of one of the jobs; the floor renders as many of it as the shelf has


@contextmanager
def catching() -> Iterator[Caught]:
    caught = Caught()
    render, draw, job_row = templates.render, figures.draw, templates.job_row

    def rendered(name: str, model: object, **given: object) -> Iterator[bytes]:
        sheet = model.sheet  # type: ignore[attr-defined]
        known = {"page": model, "sheet": sheet, "policy": templates.POLICY, "static": given["static"]}
        caught.pages.append((name, {**known, "href": templates.linker(sheet), "beside": templates.beside(sheet)}))
        return render(name, model, **given)  # type: ignore[arg-type]

    def row_made(row: ShelfRow, folder: Path | None = None) -> bytes:
        caught.row = replace(row, plan=None)  # the quicker floor
        return job_row(row, folder)

    def drawn(spec: Drawn) -> bytes:
        caught.specs.append(spec)
        return draw(spec)

    templates.render, templates.job_row, figures.draw = rendered, row_made, drawn  # type: ignore[assignment]
    try:
        yield caught
    finally:
        templates.render, figures.draw, templates.job_row = render, draw, job_row


def bare_environment() -> Any:
    from tests.benchmarks.floors.page import environment

    made = environment(templates.templates_folder())
    made.filters.update(templates._environment(None).filters)
    return made


def floor_ms(caught: Caught, env: Any, folder: Path) -> float:
    from tests.benchmarks.floors.figure import draw
    from tests.benchmarks.floors.page import page

    row = env.get_template("parts/job_row.html").make_module({"href": templates.linker(Sheet("index.html", "", ""))})
    env.globals["job_rows"] = lambda rows: Markup("").join(row.job_row(caught.row) for _ in rows)
    folder.mkdir(exist_ok=True)
    found: float = page(env, caught.pages, caught.specs, folder, draw)
    return found
