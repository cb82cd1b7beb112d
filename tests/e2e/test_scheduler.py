"""Futures lived by the workers of a scheduler on this machine: the same numbers, also when a worker dies."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
from collections.abc import Iterator
from pathlib import Path

import dask
import numpy as np
import pytest
from distributed import Client, LocalCluster, Security

from ringwise.desk.many_machines import checked_address, lived_there, scheduler
from ringwise.futures.catalogue import ready_course
from ringwise.futures.outcome import joined
from ringwise.futures.simulate import Run, simulate
from ringwise.futures.start import Start
from ringwise.growth.biology import biology
from ringwise.growth.start import Condition
from ringwise.kit.errors import InputError, NotReadyError
from ringwise.structure.table import single_segment

START = Start((single_segment(length_mm=220.0, diameter_mm=14.0),), Condition(6.0), 2027)
COURSE, LIFE = ready_course("ground_layer"), biology(("acer_palmatum", "acer"))
FUTURES, YEARS, BLOCK = 40, 6, 10
RUNS = [(number, Run(BLOCK, YEARS, 11, 1, number * BLOCK)) for number in range(FUTURES // BLOCK)]


@pytest.fixture(scope="module")
def cluster() -> Iterator[LocalCluster]:
    with LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, host="127.0.0.1", dashboard_address="127.0.0.1:0"
    ) as made:
        yield made


@pytest.fixture(scope="module")
def here() -> np.ndarray:
    return simulate(START, COURSE, LIFE, Run(FUTURES, YEARS, 11, 1)).values


def test_the_workers_of_a_scheduler_live_the_same_futures(cluster: LocalCluster, here: np.ndarray) -> None:
    with scheduler(cluster.scheduler_address) as client:
        parts = dict(lived_there(client, START, COURSE, LIFE, RUNS))
    assert sorted(parts) == [0, 1, 2, 3]
    assert np.array_equal(joined(list(parts.values())).values, here)


def test_a_worker_that_dies_in_the_middle_loses_nothing(cluster: LocalCluster, here: np.ndarray) -> None:
    with scheduler(cluster.scheduler_address) as client:
        workers = client.run(os.getpid)
        parts = {}
        for number, lives in lived_there(client, START, COURSE, LIFE, RUNS):
            if not parts:
                os.kill(next(iter(workers.values())), signal.SIGKILL)
            parts[number] = lives
        assert set(client.run(os.getpid).values()) != set(workers.values())
    assert np.array_equal(joined(list(parts.values())).values, here)


def _workers_other_engine() -> None:
    from ringwise.futures import simulate as module

    module.engine_version = lambda: "another"


def test_a_worker_of_another_version_is_refused(cluster: LocalCluster) -> None:
    with Client(cluster.scheduler_address, set_as_default=False) as client:
        client.run(_workers_other_engine)
    try:
        with (
            pytest.raises(NotReadyError, match="another Ringwise"),
            scheduler(cluster.scheduler_address),
        ):
            pass
    finally:
        with Client(cluster.scheduler_address, set_as_default=False) as client:
            client.restart()


@pytest.mark.parametrize(
    ("address", "told"),
    [
        (
            "tcp://192.0.2.7:8786",
            "tls://192.0.2.7:8786",
        ),  # an address that stands in documentation (RFC 5737)
        ("tcp://nursery:8786", "unencrypted"),
        ("http://127.0.0.1:8786", "write tls://"),
        ("127.0.0.1:8786", "write tls://"),
        ("tcp://127.0.0.1", "write tls://"),
        ("tcp://127.0.0.1:port", "write tls://"),
    ],
)
def test_an_address_that_may_not_be_used_is_refused(address: str, told: str) -> None:
    with pytest.raises(InputError, match=told):
        checked_address(address)


@pytest.mark.parametrize("address", ["tcp://127.0.0.1:8786", "tcp://[::1]:8786", "tls://nursery:8786"])
def test_an_address_that_may_be_used(address: str) -> None:
    assert checked_address(address) == address


def test_nobody_there_is_one_clear_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("ringwise.desk.many_machines._WAIT_S", 1.0)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    with (
        pytest.raises(NotReadyError, match="no scheduler answers") as raised,
        scheduler(f"tcp://127.0.0.1:{port}"),
    ):
        pass
    assert "\n" not in str(raised.value)


@pytest.fixture
def certificate(tmp_path: Path) -> tuple[str, str]:
    key, cert = tmp_path / "key.pem", tmp_path / "cert.pem"
    wish = ["req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj", "/CN=127.0.0.1"]
    wish += ["-addext", "subjectAltName=IP:127.0.0.1", "-keyout", str(key), "-out", str(cert)]
    subprocess.run(["openssl", *wish], check=True, capture_output=True)
    return str(cert), str(key)


def test_over_tls_only_who_holds_a_certificate_gets_in(
    certificate: tuple[str, str], here: np.ndarray
) -> None:
    cert, key = certificate
    tls, parts = "distributed.comm.tls", {}
    files = {f"{tls}.{role}": {"cert": cert, "key": key} for role in ("client", "scheduler", "worker")}
    none = {f"{tls}.client": {"cert": None, "key": None}}
    on = {"n_workers": 1, "threads_per_worker": 1, "processes": False, "dashboard_address": "127.0.0.1:0"}
    with (
        dask.config.set(files | {f"{tls}.ca-file": cert, "distributed.comm.require-encryption": True}),
        LocalCluster(protocol="tls", security=Security(), **on) as made,
    ):
        assert made.scheduler_address.startswith("tls://")
        with scheduler(made.scheduler_address) as client:
            parts = dict(lived_there(client, START, COURSE, LIFE, RUNS[:1]))
        with dask.config.set(none), pytest.raises(NotReadyError), scheduler(made.scheduler_address):
            pass
    assert np.array_equal(parts[0].values, here[:BLOCK])
