"""The photos of one job: looked at, converted once, and a problem at the line of each that cannot be shown."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from logbook.job.model import Job, Photo
from logbook.output import photos
from logbook.output.photos import Converted, Facts, Fault
from logbook.output.site import Stage
from logbook.pages.day_by_day import ShownPhoto
from logbook.problems import Problem, Weight


@dataclass(slots=True)
class JobPhotos:
    """``shown`` is by the name in the log; ``keys`` are the sizes of the files made, by name."""

    shown: dict[str, ShownPhoto] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    keys: dict[str, str] = field(default_factory=dict)


def photo_problems(job: Job, folder: Path) -> list[Problem]:
    """What is wrong with the files that the photo lines name, without converting any."""
    looked = [(photo, photos.inspect(folder, photo.file)) for photo in job.photos if photo.kind == "photo"]
    return [_problem(job, photo, found) for photo, found in looked if isinstance(found, Fault)]


def job_photos(job: Job, shown: Job, folder: Path, stage: Stage, known: Mapping[str, str]) -> JobPhotos:
    """The photos of the whole ``job`` looked at, those of its copy ``shown`` made for the site.

    ``known`` are the sizes of photos made last time: a photo of the same content is not converted again.
    """
    found = JobPhotos()
    wanted = {photo.entry: photo for photo in shown.photos if photo.kind == "photo" and not _hidden(photo, shown)}
    for photo in job.photos:
        if photo.kind != "photo":
            continue
        looked = photos.inspect(folder, photo.file)
        if isinstance(looked, Fault):
            found.problems.append(_problem(job, photo, looked))
        elif photo.entry in wanted:
            _show(shown, wanted[photo.entry], looked, stage, known, found)
    return found


def _hidden(photo: Photo, shown: Job) -> bool:
    return photo.private and shown.copy == "public"


def _show(job: Job, photo: Photo, facts: Facts, stage: Stage, known: Mapping[str, str], found: JobPhotos) -> None:
    """``job`` and ``photo`` as the copy shows them: the caption and the address hold nothing private."""
    name = f"{job.address}/photos/{facts.content[:12]}.jpg"
    size = known.get(name)
    if size is None or name not in stage.trusted:
        made = photos.convert(facts.data)
        if isinstance(made, Fault):
            found.problems.append(_problem(job, photo, made))
            return
        stage.put(name, made.data)
        size = _size(made)
    else:
        stage.keep(name)
    width, _, height = size.partition("x")
    found.keys[name] = size
    found.shown[photo.file] = ShownPhoto(name, int(width), int(height), alt=photo.caption)


def _size(made: Converted) -> str:
    return f"{made.width}x{made.height}"


def _problem(job: Job, photo: Photo, fault: Fault) -> Problem:
    return Problem(fault.number, Weight.ERROR, job.entries[photo.entry].entry.span, fault.message, fault.mend)
