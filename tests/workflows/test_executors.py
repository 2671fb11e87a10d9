"""Who does the work: threads, processes, a cluster; and refusals."""

import time
from concurrent.futures import Future

import pytest

from wetend.errors import BadInput, StorageFailed
from wetend.workflows import executors
from wetend.workflows.executors import opened


@pytest.mark.parametrize("wanted", ["threads", "threads:2", "processes:2"])
def test_work_is_done(wanted: str) -> None:
    with opened(wanted) as workers:
        assert list(workers.map(abs, [-1, -2])) == [1, 2]


@pytest.mark.parametrize(
    "wanted", ["", "magic", "threads:0", "threads:many", "dask", "dask://", "processes:9999"]
)
def test_unknown_ones_are_refused(wanted: str) -> None:
    with pytest.raises(BadInput), opened(wanted):
        pass


def test_what_is_not_begun_is_given_up() -> None:
    jobs: list[Future[None]] = []

    def interrupted() -> None:
        with opened("threads:1") as workers:
            jobs.extend(workers.submit(time.sleep, 0.2) for _ in range(5))
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        interrupted()
    assert jobs[-1].cancelled()


@pytest.mark.slow
def test_an_absent_cluster_is_said_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(executors, "_REACHED_WITHIN", "1s")
    pytest.importorskip("distributed")
    with pytest.raises(StorageFailed, match="can't be reached"), opened("dask://127.0.0.1:1"):
        pass
