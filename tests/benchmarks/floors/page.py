"""Floor of a page: the templates that changed rendered and written, its figures drawn plainly."""

import time

from jinja2 import Environment, FileSystemLoader


def environment(folder):
    return Environment(loader=FileSystemLoader(folder), autoescape=True, trim_blocks=True, lstrip_blocks=True)


def page(env, pages, specs, folder, draw):
    """``pages``: (template, what it is given). Returns milliseconds."""
    start = time.perf_counter()
    for number, (name, given) in enumerate(pages):
        (folder / f"{number}.html").write_text(env.get_template(name).render(given), encoding="utf-8")
    for number, spec in enumerate(specs):
        (folder / f"{number}.svg").write_bytes(draw(spec))
    return 1e3 * (time.perf_counter() - start)
