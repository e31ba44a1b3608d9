"""After any storm of edits, renames and removals the watched site equals a cold build, byte for byte.

The long run: ``LOGBOOK_STORMS=200 python -m pytest tests/watch/test_storm.py``.
"""

from __future__ import annotations

import os
import shutil
import tempfile
import time
from pathlib import Path

from hypothesis import Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, rule

from logbook.build.run import Builder, Request
from tests.build.conftest import files_of, log_text
from tests.watch.conftest import LIMIT_S, Watcher, cold, files_now, wait_until

NAMES = st.sampled_from(["van", "boat", "Van", "below/tractor", "below/deep/digger"])
READINGS = st.sampled_from(
    [
        "firing: 2 dead, rest fires",
        "spark: 3 none",
        "compresion: 1 9",
        "A plain sentence.",
        "  A note.",
        "fit coil: D1/A2 in 3",
    ]
)
CARDS = st.sampled_from(["", "address: here\n", "donor D1: a wreck\nparts coil: A1-A4 from D1\n", "\ufeff"])


class Storm(RuleBasedStateMachine):
    @initialize()
    def begin(self) -> None:
        self.top = Path(tempfile.mkdtemp())
        os.environ["LOGBOOK_CACHE"] = str(self.top / "cache")
        self.logs = self.top / "logs"
        self.logs.mkdir()
        (self.logs / "stays.txt").write_text(log_text("It stays", "firing: 1 dead"), encoding="utf-8")
        self.watcher = Watcher(Request((str(self.logs),), self.top / "site", workers=1))
        self.watcher.begin()
        self.builds = 0

    def _at(self, name: str) -> Path:
        return self.logs / f"{name}.txt"

    @rule(name=NAMES, card=CARDS, lines=st.lists(READINGS, max_size=4), renamed=st.booleans())
    def save(self, name: str, card: str, lines: list[str], renamed: bool) -> None:
        path = self._at(name)
        path.parent.mkdir(parents=True, exist_ok=True)
        text = card + log_text(f"Job {name}", *lines)
        if renamed:
            beside = path.with_name(".beside")
            beside.write_text(text, encoding="utf-8")
            beside.replace(path)
        else:
            path.write_text(text, encoding="utf-8")

    @rule(name=NAMES, letter=st.sampled_from("abcdefgh"))
    def edit_and_put_the_time_back(self, name: str, letter: str) -> None:
        """The same size, time and inode: only a look into the file, or its ctime, tells."""
        path = self._at(name)
        if path.exists() and (text := path.read_bytes()):
            state = path.stat()
            with path.open("r+b") as file:
                file.seek(text.find(b"J") + 1 or 1)
                file.write(letter.encode())
            os.utime(path, ns=(state.st_atime_ns, state.st_mtime_ns))

    @rule(name=NAMES)
    def empty(self, name: str) -> None:
        if self._at(name).exists():
            self._at(name).write_bytes(b"")

    @rule(name=NAMES)
    def remove(self, name: str) -> None:
        self._at(name).unlink(missing_ok=True)

    @rule(one=NAMES, other=NAMES)
    def rename(self, one: str, other: str) -> None:
        if self._at(one).exists():
            self._at(other).parent.mkdir(parents=True, exist_ok=True)
            self._at(one).replace(self._at(other))

    @rule()
    def remove_a_folder(self) -> None:
        shutil.rmtree(self.logs / "below", ignore_errors=True)

    @rule(name=st.sampled_from(["Quay Engines", "Hill Garage", ""]))
    def shop(self, name: str) -> None:
        path = self.logs / "shop.txt"
        if name:
            path.write_text(f"shop: {name}\nunits: metric\n", encoding="utf-8")
        else:
            path.unlink(missing_ok=True)

    @rule()
    def wait_for_the_page(self) -> None:
        self._check()

    def _check(self) -> None:
        self.builds += 1
        wanted = cold(self.logs, self.top / f"cold-{self.builds}")
        site = self.top / "site"
        try:
            wait_until(lambda: files_now(site) == wanted, "the watched site equal to a cold build")
        except AssertionError:
            found = files_of(site)
            differ = sorted(name for name in {*found, *wanted} if found.get(name) != wanted.get(name))
            raise AssertionError(f"after {LIMIT_S:.0f} s these differ: {differ}; {self.watcher.said[-5:]}") from None

    def teardown(self) -> None:
        if not hasattr(self, "watcher"):
            return
        try:
            self._check()
        finally:
            self.watcher.end()
        again = Builder(Request((str(self.logs),), self.top / "site", workers=1), say=lambda line: None)
        again.run(time.time_ns())
        assert files_of(self.top / "site") == cold(self.logs, self.top / "clean")
        shutil.rmtree(self.top)


TestStorm = Storm.TestCase
TestStorm.settings = settings(
    max_examples=int(os.environ.get("LOGBOOK_STORMS", "6")),
    stateful_step_count=12,
    deadline=None,
    phases=(Phase.explicit, Phase.reuse, Phase.generate),  # a failure waits for its limit: shrinking would take hours
)
