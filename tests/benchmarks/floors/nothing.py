"""Floor of a run with nothing changed: import click, load a record of the same size, stat inputs and outputs."""

import time

start = time.perf_counter()
import json
import os
import sys

import click  # noqa: F401

with open(sys.argv[1], "rb") as file:
    record = json.load(file)
for path in record["inputs"]:
    os.path.exists(path)
for name in record["outputs"]:
    os.stat(os.path.join(sys.argv[2], name))
print(1e3 * (time.perf_counter() - start))
