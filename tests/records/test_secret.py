"""The pages' secret outlives the server, and its loss costs no more than a form sent again."""

from __future__ import annotations

import os
import stat
from concurrent.futures import ThreadPoolExecutor

import pytest

from wetend.records.secret import persistent_secret


def test_it_is_the_same_at_the_next_start(tmp_path):
    file = tmp_path / "depot.key"
    assert len(persistent_secret(file)) == 32
    assert persistent_secret(file) == persistent_secret(file)
    assert [f.name for f in tmp_path.iterdir()] == ["depot.key"]


def test_two_depots_have_their_own(tmp_path):
    assert persistent_secret(tmp_path / "a.key") != persistent_secret(tmp_path / "b.key")


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such modes")
def test_only_its_owner_may_read_it(tmp_path):
    persistent_secret(tmp_path / "depot.key")
    assert stat.S_IMODE((tmp_path / "depot.key").stat().st_mode) == 0o600


def test_many_started_at_once_agree(tmp_path):
    file = tmp_path / "depot.key"
    with ThreadPoolExecutor(16) as pool:
        assert len(set(pool.map(lambda _: persistent_secret(file), range(64)))) == 1


@pytest.mark.parametrize("torn", [b"", b"short"])
def test_a_torn_one_is_not_used(tmp_path, torn):
    file = tmp_path / "depot.key"
    file.write_bytes(torn)
    assert len(persistent_secret(file)) == 32


def test_where_it_cannot_be_kept_a_fresh_one_serves(tmp_path):
    assert len(persistent_secret(None)) == 32
    assert len(persistent_secret(tmp_path / "no such folder" / "depot.key")) == 32
