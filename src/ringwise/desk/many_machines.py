"""Blocks of futures lived on other machines, by the address of a Dask scheduler.

A scheduler runs code that it is sent, so that a connection which leaves this machine must be encrypted and
known on both sides (TLS). Nothing is listened to: this side only connects.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from importlib import import_module
from ipaddress import ip_address
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

from ringwise.kit.errors import InputError, NotReadyError, WorkspaceError
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.futures.course import Course
    from ringwise.futures.outcome import Lives
    from ringwise.futures.simulate import Run
    from ringwise.futures.start import Start
    from ringwise.growth.biology import Biology

_WAIT_S = 20.0  # a scheduler that does not answer by then is told as not there
_TRIES = 4  # a block whose worker died so often is given up
_SCHEMES = ("tcp", "tls")


def checked_address(address: str) -> str:
    """The address of a scheduler, if it may be used.

    Parameters
    ----------
    address : str
        As typed, such as "tcp://127.0.0.1:8786" or "tls://nursery.example:8786".

    Returns
    -------
    str
        The same.

    Raises
    ------
    InputError
        If it does not read, or would send work over the network without TLS.

    Examples
    --------
    >>> checked_address("tcp://127.0.0.1:8786")
    'tcp://127.0.0.1:8786'
    """
    try:
        parts = urlsplit(address)
        host, port = parts.hostname or "", parts.port
    except ValueError:
        host, port = "", None
    if not host or port is None or parts.scheme not in _SCHEMES:
        raise InputError(
            _('--scheduler has "{address}"; write tls://HOST:PORT, or tcp://127.0.0.1:PORT here').format(
                address=address
            )
        )
    if parts.scheme == "tcp" and not _on_this_machine(host):
        raise InputError(
            _(
                "--scheduler {address} leaves this machine unencrypted, and a scheduler runs code; "
                "use tls://{host}:{port} with certificates in the configuration of Dask"
            ).format(address=address, host=host, port=port)
        )
    return address


def _on_this_machine(host: str) -> bool:
    if host == "localhost":
        return True
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return False


@contextmanager
def scheduler(address: str) -> Iterator[Any]:
    """A connection to a scheduler whose workers run this very engine.

    Parameters
    ----------
    address : str
        Checked here.

    Yields
    ------
    distributed.Client
        Closed afterwards.

    Raises
    ------
    InputError
        If the address may not be used.
    NotReadyError
        If the extra is not installed, nobody answers, there is no worker, or one runs another version.
    """
    checked_address(address)
    dask = _dask()
    try:
        client = dask.Client(address, timeout=_WAIT_S, set_as_default=False)
    except (OSError, TimeoutError, ValueError, TypeError) as wrong:
        raise NotReadyError(
            _("no scheduler answers at {address} ({why})").format(address=address, why=_short(wrong))
        ) from None
    try:
        _check_workers(client, address)
        yield client
    finally:
        client.close()


def _dask() -> Any:
    """The optional library, whose functions carry no types."""
    try:
        return import_module("distributed")
    except ImportError:
        raise NotReadyError(
            _('--scheduler needs the extra "scheduler": pip install "ringwise[scheduler]"')
        ) from None


def _short(wrong: Exception) -> str:
    return (str(wrong).splitlines() or [type(wrong).__name__])[0][:120]


def _check_workers(client: Any, address: str) -> None:
    from ringwise.futures.simulate import engine_version

    answers = client.run(_engine_there, on_error="return")
    if not answers:
        raise NotReadyError(
            _("the scheduler at {address} has no worker; start one there").format(address=address)
        )
    for worker, engine in sorted(answers.items()):
        if engine != engine_version():
            raise NotReadyError(
                _(
                    "worker {worker} runs another Ringwise than this one; install the same version there"
                ).format(worker=worker)
            )


def _engine_there() -> str:
    """Asked of a worker, in its own process."""
    from ringwise.futures.simulate import engine_version

    return engine_version()


def _live_there(start: Start, course: Course, life: Biology, run: Run) -> Lives:
    """Done by a worker, in its own process."""
    from ringwise.futures.simulate import simulate

    return simulate(start, course, life, run)


def lived_there(
    client: Any, start: Start, course: Course, life: Biology, runs: Sequence[tuple[int, Run]]
) -> Iterator[tuple[int, Lives]]:
    """Blocks of a course as they come back, in any order.

    Parameters
    ----------
    client : distributed.Client
        Of `scheduler`.
    start, course, life
        As for `futures.simulate.simulate`.
    runs : sequence of (int, Run)
        Block numbers and what to live.

    Yields
    ------
    (int, Lives)
        Number and lives of a block: the same as lived here.

    Raises
    ------
    WorkspaceError
        If a block failed, or its worker died again and again.
    """
    dask = _dask()
    asked = {
        client.submit(_live_there, start, course, life, run, pure=False, retries=_TRIES): number
        for number, run in runs
    }
    try:
        for done in dask.as_completed(list(asked), loop=client.loop):
            try:
                yield asked[done], done.result()
            except dask.KilledWorker:
                raise WorkspaceError(
                    _("the workers of the scheduler died {n} times on one block; it is given up").format(
                        n=_TRIES
                    )
                ) from None
    finally:
        client.cancel(list(asked))
