"""Problems of whole files: 601 to 639 of photos that a log names, 640 of recordings, 650 of the log itself."""

from __future__ import annotations

from types import MappingProxyType

from logbook.text.faults.row import ERROR, Fault

NOT_WORKED_OUT, NO_WEB_ADDRESS = 650, 651
_CARD = "job: Van\n2026-05-04\n"

_ROWS: tuple[Fault, ...] = (
    Fault(
        601,
        ERROR,
        "A photo that is not there",
        "The line names a file that is not beside the log, or that may not be read, so the page has nothing to show.",
        _CARD + "photo: conector.jpg lock tab gone",
        _CARD + "photo: connector.jpg lock tab gone",
    ),
    Fault(
        602,
        ERROR,
        "A photo from outside the log's folder",
        "Only files in the folder of the log, or below it, are put on a page: a log from a stranger could otherwise "
        "publish any file of this machine.",
        _CARD + "photo: ../holiday/beach.jpg",
        _CARD + "photo: beach.jpg",
    ),
    Fault(
        603,
        ERROR,
        "A file that holds no picture",
        "What a file is, is told by what is in it and not by its name. This one is no JPEG, PNG or WebP picture, or "
        "its end is missing.",
        _CARD + "photo: notes.jpg",
        _CARD + "photo: valve.jpg",
    ),
    Fault(
        604,
        ERROR,
        "A drawing in place of a photo",
        "A drawing file (SVG) can carry a script, and no page of the report runs any. Save it as a picture.",
        _CARD + "photo: manifold.svg",
        _CARD + "photo: manifold.png",
    ),
    Fault(
        605,
        ERROR,
        "A photo in a phone's own format",
        "Few browsers show this format (HEIC, AVIF). Set the phone to save JPEG, or send the photo to yourself, which "
        "mostly changes it.",
        _CARD + "photo: valve.heic",
        _CARD + "photo: valve.jpg",
    ),
    Fault(
        606,
        ERROR,
        "A photo that is too large",
        "Over 50 million pixels or 60 MB a picture takes the memory of a small machine, and a page shows 1600 pixels "
        "of its width.",
        _CARD + "photo: panorama.jpg",
        _CARD + "photo: panorama-small.jpg",
    ),
    Fault(
        640,
        ERROR,
        "A recording that can't be used",
        "A trace entry names a file of numbers or sound beside the log, and what its columns hold. The message says "
        "where in the file it stopped: a file that is missing, a row with too few values, a cell that is no number, a "
        "column that no word of the line names, or too few turns of the engine to find its cycle.",
        _CARD + "trace speed: idle.csv, time s, sped rpm",
        _CARD + "trace speed: idle.csv, time s, speed rpm",
    ),
    Fault(
        NOT_WORKED_OUT,
        ERROR,
        "A log that could not be worked out",
        "logbook failed on this log, and that is a fault of logbook. The log is untouched, and every other log is "
        "worked out as usual. In the shop's own copy the last page of this job stays as it was. Please report it: send "
        "the message and the log, or the fewest lines of it that still fail; leave out what is private.",
        "",
        "",
    ),
    Fault(
        NO_WEB_ADDRESS,
        ERROR,
        "A public address that is none of the web",
        "Links of the feed and of the page for what is not found begin with it. Only http:// and https:// lead to a "
        "host; anything else could run a program where somebody follows a link.",
        "shop: Shed\npublic address: shop.example",
        "shop: Shed\npublic address: https://shop.example/",
    ),
)

FAULTS: MappingProxyType[int, Fault] = MappingProxyType({row.number: row for row in _ROWS})


def explain(number: int) -> str:
    """What a number means, why it is a problem, and an example with its mend; '' for a number of another block."""
    row = FAULTS.get(number)
    if row is None:
        return ""
    bad, good = (text.replace("\n", "\n    ") for text in (row.bad, row.good))
    head = f"{row.number} ({row.weight.value}): {row.title}\n\n{row.why}\n"
    return f"{head}\nFor example\n    {bad}\nbecomes\n    {good}\n" if bad else head
