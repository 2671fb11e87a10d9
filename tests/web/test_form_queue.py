"""Forms take turns: pages come while many are sent, and a turn is never lost."""

from __future__ import annotations

import asyncio
import re
from concurrent.futures import ThreadPoolExecutor
from threading import Event, Lock

import httpx2
import own_loop
import pytest

from wetend.web.form_queue import AT_ONCE, SlotLimit
from wetend.workflows import visits

PATIENCE = 60.0


def test_so_many_at_once_in_the_order_they_came() -> None:
    async def all_of_them() -> tuple[int, list[int]]:
        turns, inside, most, order = SlotLimit(2), 0, 0, []

        async def one(number: int) -> None:
            nonlocal inside, most
            async with turns.taken():
                order.append(number)
                inside += 1
                most = max(most, inside)
                await asyncio.sleep(0)
                inside -= 1

        await asyncio.gather(*(one(n) for n in range(7)))
        return most, order

    assert own_loop.run(all_of_them()) == (2, list(range(7)))


@pytest.mark.parametrize("how", ["fails", "given back early", "hung up while waiting"])
def test_a_turn_is_given_back_once_however_its_work_ends(how: str) -> None:
    async def work() -> int:
        turns = SlotLimit(1)
        if how == "hung up while waiting":
            async with turns.taken():
                waiting = asyncio.create_task(_enter(turns))
                await asyncio.sleep(0)
                waiting.cancel()
                await asyncio.gather(waiting, return_exceptions=True)
        else:
            with pytest.raises(ValueError, match="broken"):
                await _broken(turns, early=how == "given back early")
        entered = [asyncio.create_task(_enter(turns)) for _ in range(3)]
        done, _ = await asyncio.wait(entered, timeout=PATIENCE)
        return len(done)

    assert own_loop.run(work()) == 3


async def _broken(turns: SlotLimit, *, early: bool) -> None:
    async with turns.taken() as turn:
        if early:
            turn.give_back()
        raise ValueError("broken")


async def _enter(turns: SlotLimit) -> None:
    async with turns.taken():
        await asyncio.sleep(0)


def test_a_page_comes_while_sixteen_forms_wait(
    address: str, site, monkeypatch: pytest.MonkeyPatch
) -> None:
    go_on, lock, inside, most = Event(), Lock(), [0], [0]
    keep = visits.add_note

    def slow(*given: object) -> object:
        with lock:
            inside[0] += 1
            most[0] = max(most[0], inside[0])
        assert go_on.wait(PATIENCE)
        with lock:
            inside[0] -= 1
        return keep(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(visits, "add_note", slow)
    with httpx2.Client(base_url=address, timeout=PATIENCE, trust_env=False) as client:
        page = client.get("/preferences")
        token = re.search(r'name="_token" value="([^"]+)"', page.text)
        assert token

        def send(number: int) -> int:
            sent = {"_token": token[1], "text": f"one of sixteen: {number}"}
            return client.post(f"/visits/{site.open_visit}/notes", data=sent).status_code

        with ThreadPoolExecutor(16) as people:
            sent = [people.submit(send, n) for n in range(16)]
            try:
                seen = client.get(f"/visits/{site.closed_visit}/complaint").status_code
            finally:
                go_on.set()
            codes = [s.result() for s in sent]
    assert (seen, set(codes)) == (200, {303})
    assert most[0] <= AT_ONCE
