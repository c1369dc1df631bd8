"""What a process does to the files under a folder, as strace tells it: writes, flushes, names."""

from __future__ import annotations

import os
import re
import subprocess
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Literal, NamedTuple

CALLS = (
    "openat,open,creat,close,lseek,write,pwrite64,writev,ftruncate,fallocate,fsync,fdatasync,sendfile,copy_file_range,"
    "rename,renameat,renameat2,link,linkat,symlink,unlink,unlinkat,mkdir,mkdirat,rmdir,dup,dup2,dup3"
)
Kind = Literal[
    "create", "write", "size", "sync", "rename", "link", "unlink", "mkdir", "rmdir", "copy", "said"
]


class Done(NamedTuple):
    """One thing done to a file or a name. Paths are relative to the folder; ``said`` counts what was said so far."""

    kind: Kind
    path: str = ""
    to: str = ""
    at: int = 0
    data: bytes = b""


def attach(pid: int, out: Path, *options: str) -> subprocess.Popen[bytes]:
    """Have strace follow a process that waits, and all its threads."""
    tracer = subprocess.Popen(
        ["strace", "-f", "-y", "-xx", "-s", "4000000", "-o", str(out), *options, "-p", str(pid)],
        stderr=subprocess.DEVNULL,
    )
    until = time.monotonic() + 30
    while "TracerPid:\t0" in Path(f"/proc/{pid}/status").read_text():
        assert tracer.poll() is None, "strace may not look at other processes here"
        assert time.monotonic() < until
        time.sleep(0.001)
    return tracer


def tracing(out: Path, *options: str) -> Callable[[int, Callable[[], None]], None]:
    """A cut (see :meth:`~tests.cut_short.nest.Nest.done`) that lets a process run to its end under strace."""

    def cut(pid: int, go: Callable[[], None]) -> None:
        tracer = attach(pid, out, *options)
        go()
        tracer.wait(300)

    return cut


_CALL = re.compile(r"(\w+)\((.*)\) += (-?\d+)(.*)", re.DOTALL)
_TEXT = re.compile(r'"((?:\\x[0-9a-f]{2})*)"')
_FD = re.compile(r"(AT_FDCWD|-?\d+)<((?:\\x[0-9a-f]{2})*)>")


def _bytes(hexed: str) -> bytes:
    return bytes.fromhex(hexed.replace("\\x", ""))


def _calls(trace: Path) -> Iterator[tuple[str, str, int]]:
    """Name, arguments and result of every call that did not fail, in the order in which they ended.

    What is said counts from its start on: the terminal may show it before the call is over.
    """
    begun: dict[str, str] = {}
    for line in trace.open():
        thread, rest = line.split(None, 1)
        if "<unfinished ...>" in rest:
            begun[thread] = rest.split(" <unfinished ...>")[0]
            if not rest.startswith("writev("):
                continue
            rest = f"{begun.pop(thread)}) = 1"
        elif "resumed>" in rest:
            if thread not in begun:
                continue
            rest = begun.pop(thread) + rest.split("resumed>", 1)[1]
        if (found := _CALL.match(rest.rstrip("\n"))) and int(found[3]) >= 0 and "(INJECTED)" not in found[4]:
            yield found[1], found[2], int(found[3])


def read(trace: Path, folder: Path, said: Path) -> list[Done]:
    """What was done under ``folder``, and when something was written into the file ``said``."""
    return list(_Reader(str(folder.resolve()), str(said.resolve())).of(_calls(trace)))


class _Reader:
    def __init__(self, folder: str, said: str) -> None:
        self.folder, self.said = folder, said
        self.at: dict[int, int] = {}  # by file descriptor: where the next write goes

    def inside(self, path: str) -> str | None:
        return path.removeprefix(self.folder + "/") if path.startswith(self.folder + "/") else None

    def of(self, calls: Iterator[tuple[str, str, int]]) -> Iterator[Done]:
        for call, arguments, result in calls:
            files = [(name, _bytes(path).decode()) for name, path in _FD.findall(arguments)]
            texts = [_bytes(text) for text in _TEXT.findall(arguments)]
            if call in (
                "write",
                "pwrite64",
                "writev",
                "ftruncate",
                "fallocate",
                "fsync",
                "fdatasync",
                "lseek",
            ):
                yield from self._on_file(call, arguments, result, files, texts)
            elif call in ("sendfile", "copy_file_range"):
                yield from self._copied(call, arguments, result, files)
            elif call in ("openat", "open", "creat"):
                yield from self._opened(call, arguments, result, files, texts)
            elif call not in ("close", "dup", "dup2", "dup3"):
                yield from self._named(call, arguments, files, texts)

    def _on_file(
        self, call: str, arguments: str, result: int, files: list[tuple[str, str]], texts: list[bytes]
    ) -> Iterator[Done]:
        handle, path = int(files[0][0]), files[0][1]
        if path == self.said:
            yield Done("said")
            return
        name = self.inside(path) if path != self.folder else "."
        numbers = [int(n) for n in re.findall(r", (\d+)", _TEXT.sub("", arguments))]
        if call == "lseek":
            self.at[handle] = result
        elif name is None:
            return
        elif call in ("fsync", "fdatasync"):
            yield Done("sync", name)
        elif call in ("ftruncate", "fallocate"):
            assert call == "ftruncate", "what fallocate does is not known here"
            yield Done("size", name, at=numbers[-1])
        else:
            at = numbers[-1] if call == "pwrite64" else self.at.get(handle, 0)
            if call != "pwrite64":
                self.at[handle] = at + result
            yield Done("write", name, at=at, data=texts[0][:result])

    def _copied(self, call: str, arguments: str, result: int, files: list[tuple[str, str]]) -> Iterator[Done]:
        """Bytes that go from file to file unseen; ``to`` takes them from ``path`` at the place where it takes them."""
        assert call == "sendfile", "what copy_file_range does is not known here"
        (handle, out), (_, source) = files[:2]
        at = self.at.get(int(handle), 0)
        self.at[int(handle)] = at + result
        out_name, source_name = self.inside(out), self.inside(source)
        assert out_name
        assert source_name
        if result:
            yield Done("copy", source_name, out_name, at, result.to_bytes(8, "big"))

    def _opened(
        self, call: str, arguments: str, result: int, files: list[tuple[str, str]], texts: list[bytes]
    ) -> Iterator[Done]:
        self.at[result] = 0
        name = self.inside(self._path(files[:1] if call == "openat" else [], texts[0]))
        if name is None:
            return
        if "O_CREAT" in arguments:
            yield Done("create", name)
        if "O_TRUNC" in arguments:
            yield Done("size", name, at=0)
        assert "O_APPEND" not in arguments, name

    def _named(
        self, call: str, arguments: str, files: list[tuple[str, str]], texts: list[bytes]
    ) -> Iterator[Done]:
        at = call in ("renameat", "renameat2", "linkat", "unlinkat", "mkdirat")
        paths = [
            self.inside(self._path(files[i : i + 1] if at else [], text)) for i, text in enumerate(texts)
        ]
        if None in paths:
            assert set(paths) == {None}, f"{call} leads into the folder or out of it"
            return
        first, second = str(paths[0]), str(paths[-1])
        if call.startswith("rename"):
            yield Done("rename", first, second)
        elif call.startswith("link"):
            yield Done("link", first, second)
        elif call.startswith("mkdir"):
            yield Done("mkdir", first)
        elif call == "rmdir" or "AT_REMOVEDIR" in arguments:
            yield Done("rmdir", first)
        else:
            assert call.startswith("unlink"), call
            yield Done("unlink", first)

    def _path(self, folder: list[tuple[str, str]], text: bytes) -> str:
        return os.path.normpath(os.path.join(folder[0][1] if folder else os.getcwd(), text.decode()))
