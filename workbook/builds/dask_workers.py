"""The workers of a dask cluster as an executor of ``concurrent.futures``.

In: an address. Out: the executor, which starts lost batches again. See dask's documentation
of ``distributed.Client.get_executor``.
"""

from __future__ import annotations

import logging
import os
import re
from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import ExitStack, contextmanager

from workbook.errors import InputError, Problem, WorkbookError
from workbook.inputs.messages import quoted

_MOST_LOCAL = 4 * (os.cpu_count() or 1)
_ADDRESS = re.compile(r"local:[1-9][0-9]{0,3}|[a-z]+://[^\s:/]+:[0-9]{1,5}")
"""What names a cluster: some processes of this machine, or a scheduler."""
_RETRIES = 2
"""How often dask runs a batch again that failed."""
_SECONDS = 15
"""How long a scheduler has to answer."""


@contextmanager
def connect(cluster: str) -> Iterator[Executor]:
    """An executor of a dask cluster: ``"tcp://host:8786"``, or ``"local:4"`` for four
    worker processes on this machine, which end with the block.

    Raises InputError for any other name, WorkbookError if dask is not installed or the
    cluster does not answer.
    """
    try:
        from distributed import Client, LocalCluster
    except ImportError:
        raise WorkbookError(
            "A build on a cluster needs dask; install it with: pip install 'workbook[cluster]'"
        ) from None
    kind, _, count = cluster.partition(":")
    if not _ADDRESS.fullmatch(cluster):
        raise _wrong(
            cluster, "is not the address of a cluster;", "write local:4 or tcp://host:8786"
        )
    if kind == "local" and int(count) > _MOST_LOCAL:
        raise _wrong(
            cluster, "asks for too many processes;", f"this machine can run {_MOST_LOCAL} at most"
        )
    with ExitStack() as stack:
        stack.enter_context(_quiet())
        try:
            place = cluster
            if kind == "local":
                place = stack.enter_context(
                    # any free port: two builds on one machine do not contend for it
                    LocalCluster(int(count), threads_per_worker=1, dashboard_address=":0")
                )
            client = stack.enter_context(Client(place, timeout=_SECONDS))
        except (
            OSError,
            ValueError,
        ):  # what distributed raises when nobody answers, or on bad names
            raise WorkbookError(
                f'no cluster answers at "{cluster}"; start its scheduler, or write local:4'
            ) from None
        yield client.get_executor(pure=False, retries=_RETRIES)


def _wrong(cluster: str, what: str, instead: str) -> InputError:
    return InputError([Problem("cluster", "", f"{quoted(cluster)} {what}", instead)])


@contextmanager
def _quiet() -> Iterator[None]:
    """Without dask's log of a broken connection, which has tracebacks; a sentence reports it."""
    log = logging.getLogger("distributed.client")
    before = log.level
    log.setLevel(logging.CRITICAL + 1)
    try:
        yield
    finally:
        log.setLevel(before)
