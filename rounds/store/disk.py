"""Files of the book on the disk: rights, durable renames, and file systems that are not one's own."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

# SQLite's locks and its shared memory need one machine; over these it can lose a book.
NETWORK = frozenset(
    (
        "nfs",
        "nfs4",
        "cifs",
        "smb3",
        "smbfs",
        "ncpfs",
        "afs",
        "9p",
        "ceph",
        "glusterfs",
        "lustre",
        "gfs",
        "gfs2",
        "ocfs2",
        "gpfs",
        "davfs",
        "webdav",
        "fuse.sshfs",
        "fuse.davfs2",
        "fuse.glusterfs",
        "fuse.curlftpfs",
        "fuse.rclone",
        "fuse.s3fs",
        "fuse.smbnetfs",
    )
)


@contextmanager
def private() -> Iterator[None]:
    """Files and folders made inside get no rights for anyone but their owner."""
    before = os.umask(0o077)
    try:
        yield
    finally:
        os.umask(before)


def private_folder(folder: Path) -> None:
    """Make ``folder`` and its missing parents with mode 0700, to survive a power cut; one that exists keeps its mode."""
    missing = [one for one in (folder, *folder.parents) if not one.exists()]
    with private():
        folder.mkdir(parents=True, exist_ok=True)
    for made in missing:
        sync_folder(made.parent)


def names_in(folder: Path) -> list[str]:
    """Names of what is in a folder; none where there is no such folder, or it may not be looked into."""
    try:
        return os.listdir(folder)
    except (FileNotFoundError, NotADirectoryError, PermissionError):
        return []


def remove_database(path: Path) -> None:
    """Remove a SQLite file that was not finished, with the files SQLite keeps beside it.

    What a failing disk does not let go stays: nobody takes it for a book, and why the file was not finished is to be told.
    """
    for leaf in (path, *(path.with_name(path.name + end) for end in ("-wal", "-shm", "-journal"))):
        with suppress(OSError):
            leaf.unlink()


def sync_folder(folder: Path) -> None:
    """Make a rename inside ``folder`` survive a power cut, where folders can be synced."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def put_in_place(part: Path, to: Path) -> None:
    """Give a finished file its name, to survive a power cut. Raises FileExistsError: nothing is ever replaced."""
    try:
        os.link(part, to)  # unlike a rename, never replaces what appeared meanwhile
    except FileExistsError:
        raise
    except OSError:  # a file system without links
        os.rename(part, to)
    sync_folder(to.parent)


def sync_file(path: Path) -> None:
    handle = os.open(path, os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def file_system(path: Path, mounts: str) -> str:
    """The type of file system that holds ``path``, by the text of ``/proc/self/mounts``; or empty."""
    best, found = -1, ""
    where = str(path)
    for line in mounts.splitlines():
        fields = line.split(" ")
        if len(fields) < 3:
            continue
        # The kernel writes blank, tab, newline and backslash in octal.
        point = fields[1]
        for octal, char in (("\\040", " "), ("\\011", "\t"), ("\\012", "\n"), ("\\134", "\\")):
            point = point.replace(octal, char)
        inside = point == "/" or where == point or where.startswith(point.rstrip("/") + "/")
        if inside and len(point) >= best:  # the later of two mounts on one point hides the earlier
            best, found = len(point), fields[2]
    return found


def network_file_system(path: Path) -> str:
    """The type of the network file system ``path`` lies on; empty if it is local or cannot be told."""
    if not sys.platform.startswith("linux"):
        return ""
    try:
        mounts = Path("/proc/self/mounts").read_text(errors="surrogateescape")
    except OSError:
        return ""  # without /proc there is no telling, and most books lie on the machine's own disk
    kind = file_system(path.resolve(), mounts)
    return kind if kind in NETWORK else ""
