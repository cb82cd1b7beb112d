"""Processes that do the heavy work: started on demand, replaced when killed, gone with their server."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from living_yards import entry, save, small_yard, stage

from ringwise.desk.ahead import ahead_of
from ringwise.desk.living import LivingYard
from ringwise.desk.long_work import put_in_book
from ringwise.desk.why import why_told
from ringwise.kit.errors import MissingFieldError, NotFoundError, UnknownNameError
from ringwise.kit.reading import Reading

ENGLISH = Reading("en", "metric")
PATIENCE_S = 240.0  # a machine with other work; nothing is timed here


def until(what: Callable[[], bool]) -> bool:
    """Whether something comes true in time."""
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        if what():
            return True
        time.sleep(0.02)
    return False


def lives(pid: int) -> bool:
    """Whether a process is there; one that ended but was not yet asked about is not."""
    status = Path(f"/proc/{pid}/status")
    try:
        return "State:\tZ" not in status.read_text()
    except OSError:
        return False


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The small yard."""
    return small_yard(tmp_path / "yard")


@pytest.fixture
def yard(folder: Path) -> Iterator[LivingYard]:
    """The small yard, open."""
    with LivingYard(folder) as found:
        yield found


def test_almanac_is_made_served_and_made_anew(yard: LivingYard, folder: Path) -> None:
    """The last one is served while a newer one is made; a restart serves the stored one without a process."""
    assert yard.almanac(ENGLISH).state == "making"
    first = yard.almanac(ENGLISH, wait=True)
    assert first.state == "ready"
    assert first.almanac is not None
    save(yard.store, entry("T1", "note", 0, {}, "nothing that forecasts read"))
    assert yard.almanac(ENGLISH).state == "ready"
    save(yard.store, stage("T2", "03", 0))
    stale = yard.almanac(ENGLISH)
    assert (stale.state, stale.almanac) == ("making", first.almanac)
    second = yard.almanac(ENGLISH, wait=True)
    assert second.state == "ready"
    assert second.almanac is not None
    assert second.almanac.step == yard.stamp()
    before, after = first.almanac.tree("T2"), second.almanac.tree("T2")
    assert before is not None
    assert after is not None
    assert before.stages != after.stages, "the stage that was seen counts"
    with LivingYard(folder) as again:
        assert again.almanac(ENGLISH) == second
        assert again.worker.pid("almanac") is None


def test_killed_process_is_replaced(yard: LivingYard) -> None:
    """Killed in the middle or when idle: the next order is done by another process."""
    making = yard.worker.almanac(ENGLISH)
    assert until(lambda: yard.worker.pid("almanac") is not None)
    first = yard.worker.pid("almanac")
    assert first is not None
    os.kill(first, signal.SIGKILL)
    assert making.result(PATIENCE_S)["step"] == yard.stamp()
    second = yard.worker.pid("almanac")
    assert second is not None
    assert second != first
    os.kill(second, signal.SIGKILL)
    assert until(lambda: not lives(second))
    assert yard.worker.why("T1:stage:07", ENGLISH)["of"] == "T1:stage:07"


def test_why_is_that_of_the_desk_and_so_are_its_errors(yard: LivingYard) -> None:
    """The worker answers as the desk does."""
    assert yard.worker.why("T1:repot:opens", ENGLISH) == why_told(yard.workspace(), "T1:repot:opens")
    with pytest.raises(NotFoundError, match="T99"):
        yard.worker.why("T99:repot:opens", ENGLISH)


def test_idle_process_ends(folder: Path) -> None:
    """A process without work is let go, and comes back when there is some."""
    with LivingYard(folder, idle_s=0.3) as yard:
        yard.worker.why("T1:stage:07", ENGLISH)
        assert until(lambda: yard.worker.pid("almanac") is None)
        assert yard.worker.why("T1:stage:07", ENGLISH)["chain"]


def test_no_process_stays_behind(folder: Path) -> None:
    """Closed or killed, the server leaves no process, not even one in the middle of work."""
    with LivingYard(folder) as yard:
        yard.worker.why("T1:stage:07", ENGLISH)
        closed = yard.worker.pid("almanac")
        assert closed is not None
    assert until(lambda: not lives(closed))
    program = (
        "import sys, time; from pathlib import Path\n"
        "from ringwise.desk.living import LivingYard\n"
        "from ringwise.kit.reading import Reading\n"
        "yard = LivingYard(Path(sys.argv[1]))\n"
        "yard.worker.why('T1:stage:07', Reading())\n"
        "yard.worker.start_job('ahead', 'T1', Reading())\n"
        "while yard.worker.pid('futures') is None: time.sleep(0.01)\n"
        "print(yard.worker.pid('almanac'), yard.worker.pid('futures'), flush=True)\n"
        "time.sleep(600)\n"
    )
    server = subprocess.Popen([sys.executable, "-c", program, str(folder)], stdout=subprocess.PIPE, text=True)
    assert server.stdout is not None
    pids = [int(word) for word in server.stdout.readline().split()]
    assert len(pids) == 2
    assert all(lives(pid) for pid in pids)
    server.kill()
    server.wait()
    server.stdout.close()
    assert until(lambda: not any(lives(pid) for pid in pids))


def test_killed_job_goes_on_from_its_blocks(yard: LivingYard) -> None:
    """Killed after its first block, a job is taken up by another process and loses nothing."""
    asked = yard.worker.start_job("ahead", "T1", ENGLISH)
    assert yard.worker.start_job("ahead", "T1", ENGLISH)["id"] == asked["id"], "asked twice, done once"
    assert until(lambda: yard.worker.job(asked["id"])["progress_frac"] > 0)
    half = yard.worker.job(asked["id"])
    pid = yard.worker.pid("futures")
    assert half["state"] == "running"
    assert pid is not None
    parts = [job.id for job in yard.store.jobs.all("running") if job.id != asked["id"]]
    assert [sorted(yard.store.jobs.blocks(part)) for part in parts] == [[0]]
    os.kill(pid, signal.SIGKILL)
    seen = [half["progress_frac"]]

    def over() -> bool:
        job = yard.worker.job(asked["id"])
        seen.append(job["progress_frac"])
        return bool(job["state"] not in {"queued", "running"})

    assert until(over)
    assert yard.worker.job(asked["id"])["state"] == "done"
    assert seen == sorted(seen), "no finished block is lived again"
    assert yard.worker.pid("futures") != pid
    view = ahead_of(yard.workspace(), "T1")
    assert view.state == "ready"
    assert view.ahead is not None
    assert [year.label for year in view.ahead.years] == list(range(2028, 2042))
    assert all(year.low_mm <= year.median_mm <= year.high_mm for year in view.ahead.years)
    alive = [year.alive_frac for year in view.ahead.years]
    assert alive == sorted(alive, reverse=True), "nobody comes back to life"
    assert view.ahead.years[0].low_mm > 41.0 * 3, "a girth is more than three diameters"


def test_job_is_cancelled_and_taken_up_again(yard: LivingYard) -> None:
    """A job that was taken off ends as cancelled; asked for again, it goes on."""
    asked = yard.worker.start_job("ahead", "T1", ENGLISH)
    assert yard.worker.cancel(asked["id"])["state"] in {"queued", "running", "cancelled"}
    assert until(lambda: yard.worker.job(asked["id"])["state"] == "cancelled")
    assert ahead_of(yard.workspace(), "T1").state == "none"
    assert yard.worker.start_job("ahead", "T1", ENGLISH)["state"] in {"queued", "running"}
    assert until(lambda: yard.worker.job(asked["id"])["state"] == "running")
    assert len(yard.worker.jobs()) == 1


def test_unfinished_job_is_taken_up_at_the_start(folder: Path) -> None:
    """What an earlier server left in the book is done by the next one."""
    with LivingYard(folder) as before:
        left = put_in_book(before.workspace(), "ahead", "T1")
    with LivingYard(folder) as yard:
        assert yard.worker.take_up(ENGLISH) == [left.id]
        assert until(lambda: yard.worker.job(left.id)["state"] == "running")


def test_jobs_that_cannot_be(yard: LivingYard) -> None:
    """Bad wishes are refused before anything is put into the book."""
    with pytest.raises(UnknownNameError):
        yard.worker.start_job("horoscope", "T1", ENGLISH)
    with pytest.raises(NotFoundError):
        yard.worker.start_job("ahead", "T99", ENGLISH)
    with pytest.raises(MissingFieldError, match="question"):
        yard.worker.start_job("futures", "T1", ENGLISH)
    with pytest.raises(NotFoundError):
        yard.worker.job("no such job")
    assert yard.worker.jobs() == []


def test_years_ahead_name_what_a_tree_lacks(yard: LivingYard) -> None:
    """Nothing is begun for a tree whose trunk and height are not both known, or whose kind is in no list."""
    lacking, unlisted = ahead_of(yard.workspace(), "T2"), ahead_of(yard.workspace(), "T10")
    assert (lacking.state, unlisted.state) == ("none", "none")
    assert "height" in lacking.words
    assert "list" in unlisted.words
    assert yard.worker.jobs() == []
    assert yard.worker.pid("futures") is None
