"""Tokens, cookies and counted tries."""

from __future__ import annotations

import pytest

from wetend.web.security import (
    TokenSigner,
    Tries,
    host_allowed,
    host_name,
    is_loopback,
    known_hosts,
)

NONCE = "a" * 32


class Clock:
    """A clock the test sets."""

    def __init__(self) -> None:
        self.now = 1_700_000_000.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def keeper(clock: Clock) -> TokenSigner:
    return TokenSigner(b"secret of the test", "ferry gate", clock)


def test_a_token_is_good_for_its_own_cookie_and_for_half_a_day(keeper: TokenSigner, clock: Clock):
    token = keeper.form_token(NONCE)
    assert keeper.token_fault(NONCE, token) == ""
    assert "does not fit" in keeper.token_fault("b" * 32, token)
    clock.now += 12 * 3600 + 1
    assert "twelve hours" in keeper.token_fault(NONCE, token)


@pytest.mark.parametrize(
    "token", ["", ".", "..", "1.2.3", "x.y.z", "9e99.a.b", "é.ü.\ud800", "1" * 5000]
)
def test_a_made_up_token_is_refused_without_a_crash(keeper: TokenSigner, token: str):
    assert keeper.token_fault(NONCE, token)


def test_a_token_cannot_be_made_younger(keeper: TokenSigner, clock: Clock):
    old = keeper.form_token(NONCE)
    clock.now += 13 * 3600
    young = keeper.form_token(NONCE)
    (salt, _, mark), (_, issued, _) = old.split("."), young.split(".")
    assert "twelve hours" in keeper.token_fault(NONCE, old)
    assert "does not fit" in keeper.token_fault(NONCE, f"{salt}.{issued}.{mark}")


def test_a_signature_of_one_use_is_good_for_no_other(keeper: TokenSigner):
    cookie, session = keeper.pass_cookie(), keeper.new_session()
    assert keeper.session_of(cookie) == ""
    assert not keeper.admitted(session)
    assert keeper.token_fault(keeper.session_of(session), session)
    assert keeper.token_fault(keeper.session_of(session), cookie)


def test_tokens_of_one_cookie_differ_each_time(keeper: TokenSigner):
    assert keeper.form_token(NONCE) != keeper.form_token(NONCE)


def test_another_servers_token_is_refused(keeper: TokenSigner, clock: Clock):
    other = TokenSigner(b"another secret", "ferry gate", clock)
    assert keeper.token_fault(NONCE, other.form_token(NONCE))


def test_the_pass_cookie_lets_in_for_a_week(keeper: TokenSigner, clock: Clock):
    cookie = keeper.pass_cookie()
    assert keeper.admitted(cookie)
    clock.now += 7 * 24 * 3600 + 1
    assert not keeper.admitted(cookie)


@pytest.mark.parametrize(
    "cookie", ["", "9999999999", "9999999999.", "9999999999.abc", "x.y", "é.é"]
)
def test_a_made_up_pass_cookie_lets_nobody_in(keeper: TokenSigner, cookie: str):
    assert not keeper.admitted(cookie)


def test_a_changed_passcode_shuts_out_old_cookies(keeper: TokenSigner, clock: Clock):
    changed = TokenSigner(keeper.secret, "other gate", clock)
    assert not changed.admitted(keeper.pass_cookie())


def test_the_passcode_must_be_whole_and_right(keeper: TokenSigner):
    assert keeper.passcode_fits("ferry gate")
    for wrong in ("", "ferry", "ferry gate ", "FERRY GATE", "\ud800"):
        assert not keeper.passcode_fits(wrong)


def test_without_a_passcode_nothing_fits_and_all_are_in():
    keeper = TokenSigner(b"s", None)
    assert not keeper.passcode_fits("")
    assert keeper.admitted("")


def test_wrong_tries_slow_one_address_and_lock_nobody_else_out(clock: Clock):
    tries = Tries(free=3, clock=clock)
    for _ in range(30):
        tries.wrong("one")
    assert 500 < tries.wait("one") <= 600
    assert tries.wait("two") == 0
    clock.now += 601
    assert tries.wait("one") == 0
    tries.right("one")
    assert tries.wrong("one") == 1


def test_a_few_wrong_tries_cost_nothing_then_ever_more(clock: Clock):
    tries, waits = Tries(free=3, clock=clock), []
    for _ in range(5):
        tries.wrong("one")
        waits.append(tries.wait("one"))
    assert waits == [0, 0, 4, 8, 16]


def test_addresses_without_end_take_no_memory_without_end(clock: Clock):
    tries = Tries(clock=clock)
    for number in range(10_000):
        tries.wrong(f"2001:db8::{number:x}")
    assert len(tries._wrong) <= 4097


def test_a_pass_is_renewed_while_it_is_used_and_ends_when_given_back(
    keeper: TokenSigner, clock: Clock
):
    cookie = keeper.pass_cookie()
    assert keeper.renewed(cookie) == ""
    clock.now += 4 * 24 * 3600
    later = keeper.renewed(cookie)
    clock.now += 4 * 24 * 3600
    assert not keeper.admitted(cookie)
    assert keeper.admitted(later)
    keeper.ended.add(keeper.pass_of(later))
    assert not keeper.admitted(later)


def test_a_session_is_made_by_the_server_alone(keeper: TokenSigner, clock: Clock):
    made = keeper.new_session()
    assert keeper.session_of(made)
    for planted in ("a" * 32, f"{'a' * 32}.{'b' * 64}", "", ".", "é.é\ud800"):
        assert keeper.session_of(planted) == ""
    assert TokenSigner(b"another", None, clock).session_of(made) == ""


def test_loopback_addresses():
    # RFC 5735, section 3: 127.0.0.0/8; RFC 4291, section 2.5.3: ::1
    assert all(map(is_loopback, ["127.0.0.1", "127.9.9.9", "::1", "localhost", "LOCALHOST"]))
    assert not any(map(is_loopback, ["0.0.0.0", "10.0.0.1", "::", "localhost.example", ""]))


def test_a_name_of_someone_elses_is_not_ours():
    hosts = known_hosts(None)
    assert host_allowed("localhost:8642", hosts, any_address=False)
    assert host_allowed("127.0.0.1:8642", hosts, any_address=False)
    assert not host_allowed("pump.example:8642", hosts, any_address=True)
    assert not host_allowed("192.168.1.5:8642", hosts, any_address=False)
    assert host_allowed("192.168.1.5:8642", hosts, any_address=True)
    assert not host_allowed("", hosts, any_address=True)
    assert host_allowed("depot.example", known_hosts(None, ("Depot.example",)), any_address=False)


def test_host_names_are_read_with_and_without_port():
    assert host_name("[::1]:80") == "::1"
    assert host_name("Depot.Example.:80") == "depot.example"
