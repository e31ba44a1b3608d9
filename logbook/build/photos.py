"""The photos of one job: looked at, converted once, and a problem at the line of each that cannot be shown."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from logbook.job.model import Job
from logbook.output import photos
from logbook.output.record import digest
from logbook.output.site import Stage
from logbook.pages.day_by_day import ShownPhoto
from logbook.problems import Problem, Weight


@dataclass(slots=True)
class JobPhotos:
    """``shown`` is by the name in the log."""

    shown: dict[str, ShownPhoto] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)


def job_photos(job: Job, folder: Path, stage: Stage) -> JobPhotos:
    found = JobPhotos()
    for photo in job.photos:
        if photo.kind != "photo" or photo.file in found.shown:
            continue
        if job.copy == "public" and photo.private:
            continue
        looked = photos.inspect(folder, photo.file)
        made = looked if isinstance(looked, photos.Fault) else photos.convert(looked.data)
        if isinstance(made, photos.Fault):
            span = job.entries[photo.entry].entry.span
            found.problems.append(Problem(made.number, Weight.ERROR, span, made.message, made.mend))
            continue
        name = f"{job.address}/photos/{digest(made.data)[:12]}.jpg"
        stage.put(name, made.data)
        found.shown[photo.file] = ShownPhoto(name, made.width, made.height, alt=photo.caption)
    return found
