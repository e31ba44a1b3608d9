"""``logbook work``: any calculation by hand."""

from __future__ import annotations

import shlex
import sys

import click

from logbook.formulas import asking, registry, telling
from logbook.formulas.refusals import Refusal

_HELP = """Work out one number and show the working.

Without a name: every calculation by subject. With a name alone: what it wants, and an example worked out.

\b
Examples:
  logbook work
  logbook work --search injector
  logbook work displacement bore=4.03in stroke=3.48in cylinders=8
  logbook work displacement bore_mm=102.36 stroke_mm=88.4 cylinders=8 --as json
  logbook work compression_spread 'readings_psi=[150, 148, 152, 149]'

A number needs its unit, in the value (4.03in, 7/16in, M10) or in the key (bore_in=4.03). Values alone are taken in
the order of the inputs: logbook work displacement 4.03in 3.48in 8
"""


def _search(words: str) -> str:
    return shlex.join(["logbook", "work", "--search", words.replace("_", " ").split()[0] if words.strip() else "WORD"])


@click.command("work", help=_HELP, context_settings={"ignore_unknown_options": True})
@click.argument("calculation", required=False)
@click.argument("inputs", nargs=-1, metavar="[KEY=VALUE]...")
@click.option("--as", "form", type=click.Choice(["text", "json"]), default="text", help="How to print the answer.")
@click.option("--search", default="", metavar="WORDS", help="List only calculations that speak of these words.")
def work(calculation: str | None, inputs: tuple[str, ...], form: str, search: str) -> None:
    if calculation is None:
        click.echo(telling.listing(search))
        return
    # a name may be written in words: 'logbook work injector duty pulse=3ms'
    for count in range(len(inputs), 0, -1):
        name = " ".join((calculation, *inputs[:count]))
        if "=" not in name and not registry.is_name(calculation) and registry.is_name(name):
            calculation, inputs = name, inputs[count:]
            break
    try:
        row = registry.find(calculation)
        if not inputs and row.inputs and form == "text":
            click.echo(telling.card(row))
            return
        asked = asking.ask(calculation, inputs)
        click.echo(telling.as_json(asked) if form == "json" else telling.as_text(asked))
    except Refusal as refusal:
        command = asking.finished(calculation, inputs) if registry.is_name(calculation) else _search(calculation)
        if form == "json":
            click.echo(telling.refusal_as_json(refusal, command))
        else:
            click.echo(telling.refusal_as_text(refusal, command), err=True)
        sys.exit(2)
