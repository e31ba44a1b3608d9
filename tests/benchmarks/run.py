"""What it costs, each as a ratio to a floor measured in the same run: ``python -m tests.benchmarks.run [NAME ...]``.

Milliseconds are printed; ``tests/benchmarks/figures.json`` keeps ratios, goals, library versions and the core count.
Names: nothing, check, save, cold, growth, figure, editor. ``--jobs N`` sizes the archive (1000).
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import sys
import tempfile
from collections.abc import Callable, Iterator
from importlib.metadata import version
from pathlib import Path

from tests.benchmarks import cold, editor, figures, growth, measuring, save, startup

RESULT = Path(__file__).with_name("figures.json")
LIBRARIES = ("click", "jinja2", "matplotlib", "numpy", "markdown-it-py")
MEASURES: dict[str, Callable[[Path, int], dict[str, dict[str, float]]]] = {
    "nothing": startup.nothing_changed,
    "check": startup.check,
    "save": save.measure,
    "cold": cold.measure,
    "growth": growth.measure,
    "editor": editor.measure,
    "figure": lambda folder, jobs: {
        "one figure": measuring.ratio(figures.milliseconds(figures.draw), figures.milliseconds(figures.plain), 0.45)
    },
}


@contextlib.contextmanager
def _place() -> Iterator[Path]:
    with tempfile.TemporaryDirectory() as folder:
        os.environ["LOGBOOK_CACHE"] = str(Path(folder) / "cache")
        yield Path(folder)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME")
    parser.add_argument("--jobs", type=int, default=1000)
    asked = parser.parse_args()
    kept = json.loads(RESULT.read_text(encoding="utf-8")) if RESULT.exists() else {}
    for name in asked.names or MEASURES:
        with _place() as folder:
            for what, found in MEASURES[name](folder, asked.jobs).items():
                print(f"{what}: " + ", ".join(f"{key} {value:.4g}" for key, value in found.items()), flush=True)
                kept[what] = {key: value for key, value in found.items() if not key.endswith("_ms")}
    kept["versions"] = {"python": sys.version.split()[0], **{name: version(name) for name in LIBRARIES}}
    kept["cores"] = os.cpu_count()
    RESULT.write_text(json.dumps(kept, indent=1, sort_keys=True) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
