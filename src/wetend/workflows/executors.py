"""Executors for long calculations: local threads or processes, or a Dask cluster."""

from __future__ import annotations

import importlib
import os
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor, ThreadPoolExecutor
from contextlib import contextmanager
from multiprocessing import get_context

from wetend.errors import BadInput, StorageFailed
from wetend.units.message import Message

KINDS = "threads, processes, threads:4, processes:4 or dask://host:port"
_REACHED_WITHIN = "10s"
SHARED: Executor = ThreadPoolExecutor(2, thread_name_prefix="fleet")
"""What pages play small fleets with; its threads are started when first used, and stay."""


def _count(text: str) -> int:
    if not text:
        return max(os.cpu_count() or 1, 1)
    if not text.isdigit() or not 1 <= int(text) <= 256:
        raise BadInput(
            Message("“{text}” is not a number of workers; give 1 to 256.", text=text[:20])
        )
    return int(text)


@contextmanager
def opened(wanted: str) -> Iterator[Executor]:
    """An executor as asked for; what is not begun is given up when something goes wrong.

    Args:
        wanted: ``threads``, ``processes``, either with ``:N``, or ``dask://host:port``.

    Raises:
        BadInput: nothing known goes by this name.
        StorageFailed: the cluster can't be reached.
    """
    name, _, rest = wanted.strip().partition(":")
    if name == "dask" and rest.startswith("//") and len(rest) > 2:
        yield from _dask(rest[2:])
        return
    if name not in ("threads", "processes"):
        raise BadInput(
            Message(
                "There is no executor “{wanted}”; give {kinds}.", wanted=wanted[:60], kinds=KINDS
            )
        )
    pool: Executor = (
        ThreadPoolExecutor(_count(rest))
        if name == "threads"
        else ProcessPoolExecutor(_count(rest), mp_context=get_context("spawn"))
    )
    try:
        yield pool
    except BaseException:
        pool.shutdown(wait=False, cancel_futures=True)
        raise
    pool.shutdown()


def _dask(address: str) -> Iterator[Executor]:
    try:
        distributed = importlib.import_module("distributed")
    except ImportError as error:
        raise BadInput(
            Message("A Dask cluster needs the extra: install wetend with [dask], or use processes.")
        ) from error
    try:
        client = distributed.Client(f"tcp://{address}", timeout=_REACHED_WITHIN)
    except (OSError, ValueError) as error:
        raise StorageFailed(
            Message(
                "The Dask cluster at {address} can't be reached: {error}.",
                address=address,
                error=error,
            )
        ) from error
    try:
        yield client.get_executor(pure=False)
    finally:
        client.close()
