"""What a disk may hold after the power was cut at any point of a recorded deed.

What was flushed is there. Of what was not, anything may be: nothing, all of it, or any part in any order. A write
counts in sectors, the making and renaming of files one by one, and a new name is only sure once its folder was
flushed. That is stricter than usual file systems, and as strict as POSIX.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from random import Random
from typing import NamedTuple

from tests.cut_short import disk_trace
from tests.cut_short.disk_trace import Done
from tests.cut_short.trial import Trial

SECTOR = 512
FOLDER = -1
"""Stands for a folder among the numbers of files."""


class File:
    def __init__(self, content: bytes = b"") -> None:
        self.flushed = bytearray(content)
        self.now = bytearray(content)
        self.waiting: list[Done] = []

    def take(self, done: Done) -> None:
        _put(self.now, done)
        self.waiting.append(done)

    def flush(self) -> None:
        self.flushed[:] = self.now
        self.waiting = []


def _put(content: bytearray, done: Done) -> None:
    end = done.at + len(done.data)
    if done.kind == "size":
        del content[done.at :]
    if len(content) < end:
        content.extend(bytes(end - len(content)))
    if done.kind == "write":
        content[done.at : end] = done.data


def _sectors(waiting: Iterable[Done]) -> Iterator[Done]:
    for done in waiting:
        if done.kind == "size":
            yield done
            continue
        at = done.at
        while at < done.at + len(done.data):
            next_ = min((at // SECTOR + 1) * SECTOR, done.at + len(done.data))
            yield Done("write", at=at, data=done.data[at - done.at : next_ - done.at])
            at = next_


Names = dict[str, int]


def _rename(names: Names, done: Done) -> bool:
    """Do to names what was done, if it can be; and with a folder what is in it."""
    if done.kind in ("create", "mkdir"):
        names.setdefault(done.path, done.at)
    elif done.path not in names:
        return False
    elif done.kind == "link":
        names[done.to] = names[done.path]
    elif done.kind == "rename":
        inside = {name: file for name, file in names.items() if name.startswith(done.path + "/")}
        names[done.to] = names.pop(done.path)
        for name, file in inside.items():
            del names[name]
            names[done.to + name[len(done.path) :]] = file
    else:
        del names[done.path]
    return True


def folder_of(path: str) -> str:
    return path.rpartition("/")[0] or "."


class Disk:
    """Takes what was done, one by one; ``left`` is what may be there if the power goes now."""

    def __init__(self, folder: Path) -> None:
        self.files: list[File] = []
        self.names: Names = {}
        for path in sorted(folder.rglob("*")):
            name = str(path.relative_to(folder))
            if path.is_dir():
                self.names[name] = FOLDER
            else:
                self.names[name] = self._new(path.read_bytes())
        self.flushed_names = dict(self.names)
        self.waiting: list[Done] = []

    def _new(self, content: bytes = b"") -> int:
        self.files.append(File(content))
        return len(self.files) - 1

    def take(self, done: Done, *, flushes: bool = True) -> None:
        """``flushes`` is false in a control: what should flush does nothing then."""
        match done.kind:
            case "write" | "size":
                self.files[self.names[done.path]].take(done)
            case "copy":
                size = int.from_bytes(done.data, "big")
                data = bytes(self.files[self.names[done.path]].now[done.at : done.at + size])
                self.files[self.names[done.to]].take(Done("write", done.to, at=done.at, data=data))
            case "sync" if flushes:
                self._flush(done.path)
            case "create" if done.path in self.names:
                pass
            case "create" | "mkdir" | "rename" | "link" | "unlink" | "rmdir":
                made = {"create": self._new, "mkdir": lambda: FOLDER}.get(done.kind, lambda: 0)()
                done = done._replace(at=made)
                assert _rename(self.names, done), done
                self.waiting.append(done)

    def _flush(self, path: str) -> None:
        """A file's content, or the names in a folder."""
        if path != "." and self.names[path] != FOLDER:
            self.files[self.names[path]].flush()
            return
        waiting, self.waiting = self.waiting, []
        for done in waiting:
            if path not in (folder_of(done.path), folder_of(done.to or done.path)) or not _rename(
                self.flushed_names, done
            ):
                self.waiting.append(done)

    def left(
        self, random: Random | None, *, everything: bool = False
    ) -> tuple[tuple[str, bytes | None], ...]:
        """Paths and their content, None for a folder: with ``random`` some of what was not flushed, else nothing or ``everything``."""
        names = dict(self.names if everything else self.flushed_names)
        share = random.choice((0.1, 0.5, 0.9)) if random else 0.0
        if random:
            for done in self.waiting:
                if random.random() < share:
                    _rename(names, done)
        out: dict[str, bytes | None] = {}
        for name, number in sorted(names.items()):
            if folder_of(name) != "." and folder_of(name) not in out:
                continue  # nobody can find it
            out[name] = None if number == FOLDER else self._content(number, random, share, everything)
        return tuple(out.items())

    def _content(self, number: int, random: Random | None, share: float, everything: bool) -> bytes:
        file = self.files[number]
        if everything or not file.waiting:
            return bytes(file.now if everything else file.flushed)
        content = bytearray(file.flushed)
        if random:
            for done in _sectors(file.waiting):
                if random.random() < share:
                    _put(content, done)
        return bytes(content)


class Cut(NamedTuple):
    """One state of a disk: what lies there, after how many things had been said, and how it came about."""

    files: tuple[tuple[str, bytes | None], ...]
    said: int
    told: str

    def __hash__(self) -> int:
        return hash((self.files, self.said))


class Recorded(NamedTuple):
    """All that a deed did to its disk, and what it said."""

    before: Path
    done: list[Done]
    said: list[str]

    def cuts(
        self, torn: int, random: Random, *, share: float = 1.0, flushes: bool = True, last: int | None = None
    ) -> Iterator[Cut]:
        """A ``share`` of all states: every cut point with nothing, all and ``torn`` random parts of what was not flushed.

        Of the ``last`` cut points alone, where that is given.
        """
        disk, said = Disk(self.before), 0
        for n, one in enumerate((None, *self.done)):
            if one is not None:
                disk.take(one, flushes=flushes)
                said += one.kind == "said"
            if last is not None and n <= len(self.done) - last:
                continue
            what = f"after {n} of {len(self.done)}" + (f", {one.kind} {one.path}" if one else "")
            if random.random() < share:
                yield Cut(disk.left(None), said, f"{what}: nothing of what was not flushed")
            if not (disk.waiting or any(file.waiting for file in disk.files)):
                continue
            if random.random() < share:
                yield Cut(disk.left(None, everything=True), said, f"{what}: all of it")
            for _ in range(torn):
                if random.random() < share:
                    yield Cut(disk.left(random), said, f"{what}: some of it")


def recorded(trial: Trial, scratch: Path) -> Recorded:
    """Do the deed under strace. What is made out of the record at its end is compared with what is really there."""
    trace = scratch / "trace"
    assert trial.cut_short(disk_trace.tracing(trace, "-e", f"trace={disk_trace.CALLS}")) == 0, (
        trial.nest.words
    )
    done = disk_trace.read(trace, trial.at, trial.nest.said_file)
    disk = Disk(trial.before)
    for one in done:
        disk.take(one)
    made = dict(disk.left(None, everything=True))
    there = {str(path.relative_to(trial.at)): path for path in trial.at.rglob("*")}
    assert made.keys() == there.keys()
    for name, path in there.items():
        assert path.is_dir() or name.endswith("-shm") or made[name] == path.read_bytes(), name
    assert sum(one.kind == "said" for one in done) == len(trial.nest.said)
    return Recorded(trial.before, done, trial.nest.said)


def faults(trial: Trial, cut: Cut, said: Sequence[str]) -> list[str]:
    """What is wrong after the power was cut, and how that came about."""
    folder = trial.lay_out(empty=True)
    for name, content in cut.files:
        if content is None:
            (folder / name).mkdir()
        else:
            (folder / name).write_bytes(content)
            (folder / name).chmod(0o600)
    return [f"{fault} ({cut.told})" for fault in trial.deed.faults(folder, said[: cut.said])]
