"""Shared by all tests: reproducible property tests, and no config or book of whoever runs them."""

from __future__ import annotations

import contextlib
import fcntl
import importlib
import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from tests.sampled import sampled

if "TREE_IS_EDITED" not in os.environ:
    # Compiled modules are kept, in this process, its workers and every program it starts. A program that
    # is compiled at each start starts like no user's, and every worker would rewrite every assert again.
    sys.dont_write_bytecode = False
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

HOW = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow], "max_examples": sampled(20, 100)}
settings.register_profile("ci", derandomize=True, **HOW)
settings.register_profile("dev", **HOW)
settings.load_profile("ci" if os.environ.get("CI") else "dev")


@pytest.fixture(autouse=True)
def _a_house_of_its_own(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """No test reads or writes the config folder or the book of the person running it."""
    home = tmp_path_factory.getbasetemp() / "home"
    home.mkdir(exist_ok=True)
    for name in ("ROUNDS_BOOK", "ROUNDS_CONFIG"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(home / "config"))
    monkeypatch.setenv("XDG_DATA_HOME", str(home / "data"))


@pytest.fixture(scope="session", autouse=True)
def _a_file_is_parsed_once() -> Iterator[None]:
    """The same bytes of the same config file make the same document; nobody changes one (it has its own tests)."""
    from rounds.settings import yamlfile

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(yamlfile, "parse", lru_cache(maxsize=500)(yamlfile.parse))
        yield


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--update",
        action="store_true",
        help="write the pictures of screens and the newest schema anew, instead of comparing them",
    )


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """Half as many again as there are processors: many tests wait, for a terminal, a browser or a disk.

    None for one file or one test: workers take longer to start than most files to run.
    """
    if len(config.args) == 1 and ".py" in config.args[0]:
        config.option.dist = "no"
        return 0
    return max(2, len(os.sched_getaffinity(0)) * 3 // 2) if hasattr(os, "sched_getaffinity") else 2


@pytest.hookimpl(tryfirst=True)
def pytest_collection(session: pytest.Session) -> None:
    """In a run of everything each worker first imports a part of the tests, and so compiles it for the others.

    Otherwise each of them would compile all of them at the same time, where no run was before.
    """
    worker = getattr(session.config, "workerinput", None)
    folder = Path(__file__).parent
    if worker is None or [(session.config.rootpath / a).resolve() for a in session.config.args] != [folder]:
        return
    files = sorted(folder.rglob("test_*.py"))
    for path in files[int(worker["workerid"].removeprefix("gw")) :: worker["workercount"]]:
        module = path.relative_to(folder.parent).with_suffix("")
        with contextlib.suppress(Exception):  # collecting it says what is wrong with it
            importlib.import_module(".".join(module.parts))


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """What takes long begins first, so that no worker is still at it when the others are done.

    Each worker is given one part of the list and takes from the end of another's when it is
    through. The first part begins with the tests that mostly wait for a terminal or a browser,
    so that the others have the processors meanwhile; these begin with the long ones.
    """
    workers = getattr(config, "workerinput", {}).get("workercount", 1)
    if workers == 1:
        return
    waiting = [i for i in items if i.get_closest_marker("pty") or i.get_closest_marker("waits")]
    first = set(waiting)
    long = [i for i in items if i.get_closest_marker("long") and i not in first]
    first.update(long)
    rest = [i for i in items if i not in first]
    files = list(dict.fromkeys(i.path for i in long))  # a file's fixtures are made once
    begins = [waiting, *([i for i in long if i.path in files[n :: workers - 1]] for n in range(workers - 1))]
    left, ordered = len(items), list[pytest.Item]()
    for n, begin in enumerate(begins):
        size = left // (workers - n)
        left -= size
        more = max(0, size - len(begin))
        ordered += [*begin, *rest[:more]]
        del rest[:more]
    items[:] = ordered


@pytest.fixture(scope="session")
def demo_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo book of the end-to-end tests' day."""
    from tests.endtoend import rack

    return demo_of(rack.TODAY, tmp_path_factory)


def demo_of(day: int, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo book of a day, loaded once for all workers of a run: a copy of it, to be copied or read."""
    from rounds.commands.book_commands import load_demo

    root = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        root = root.parent
    made = root / f"demo-{day}"
    with (root / f"demo-{day}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not made.exists():
            making = Path(tempfile.mkdtemp(dir=root))
            (making / "no-config").mkdir()
            load_demo(making / "demo.sqlite", str(making / "no-config"), day)
            making.rename(made)
    return Path(shutil.copy(made / "demo.sqlite", tmp_path_factory.mktemp("demo")))
