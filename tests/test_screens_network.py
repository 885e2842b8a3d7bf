"""The app asks nothing of any network, is open to this computer only, reports nothing."""

import socket
import tomllib
from pathlib import Path

import pytest

from planner.screens.contents import TITLES
from tests.browser_app import Served
from tests.screen_driver import ROOT, app, go, press, scarce_book, upload, work

CONFIG = tomllib.loads((ROOT / ".streamlit" / "config.toml").read_text("utf-8"))
LOOPBACK = {"localhost", "127.0.0.1", "::1"}


class NetworkUsedError(AssertionError):
    """Something wanted to leave this computer."""


@pytest.fixture
def cut(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """A computer whose network is cut; wishes to use it are noted."""
    wished: list[str] = []

    def guard(name: str, where: int):
        real = getattr(socket.socket, name)

        def asked(self: socket.socket, *args: object):
            address = args[where]
            if self.family in {socket.AF_INET, socket.AF_INET6}:
                host = str(address[0])
                if host not in LOOPBACK:
                    wished.append(host)
                    raise NetworkUsedError(host)
            return real(self, *args)

        monkeypatch.setattr(socket.socket, name, asked)

    for name, where in (("connect", 0), ("connect_ex", 0), ("sendto", -1)):
        guard(name, where)
    real_lookup = socket.getaddrinfo

    def lookup(host: object, *args: object, **options: object):
        if host not in LOOPBACK | {None}:
            wished.append(str(host))
            raise NetworkUsedError(host)
        return real_lookup(host, *args, **options)

    monkeypatch.setattr(socket, "getaddrinfo", lookup)
    return wished


def test_the_cut_would_be_felt(cut: list[str]) -> None:
    # RFC 5737 and RFC 2606: an address and a name kept for documentation.
    with pytest.raises(NetworkUsedError):
        socket.create_connection(("example.invalid", 80), timeout=1)
    with pytest.raises(NetworkUsedError):
        socket.socket().connect(("192.0.2.1", 80))
    assert cut == ["example.invalid", "192.0.2.1"]


def test_the_whole_journey_works_with_the_network_cut(cut: list[str]) -> None:
    at = press(go(upload(app(), scarce_book()), "plan"), "make_plan")
    assert work(at).plan is not None
    for name in TITLES:
        go(at, name)
    assert cut == []


def test_the_settings_keep_it_on_this_computer() -> None:
    assert CONFIG["server"]["address"] == "localhost"
    assert CONFIG["browser"]["gatherUsageStats"] is False
    assert CONFIG["server"]["enableXsrfProtection"] is True
    assert CONFIG["client"]["showErrorDetails"] == "none"


def test_the_pages_name_the_limit_that_is_set() -> None:
    limit = f"at most {CONFIG['server']['maxUploadSize']} MB"
    at = app()
    labels = {one.key: one.label for one in at.file_uploader}
    labels |= {one.key: one.label for one in go(at, "keep").file_uploader}
    for name in ("upload_list", "upload_kit", "upload_work"):
        (label,) = [label for key, label in labels.items() if key.startswith(name)]
        assert limit in label


def listening(port: int) -> set[str]:
    """Local addresses on which a port is listened to, in hexadecimal."""
    found = set()
    for table in ("/proc/net/tcp", "/proc/net/tcp6"):
        for line in Path(table).read_text().splitlines()[1:]:
            address, state = line.split()[1], line.split()[3]
            host, _, number = address.partition(":")
            if state == "0A" and int(number, 16) == port:  # 0A: listening
                found.add(host)
    return found


@pytest.mark.skipif(not Path("/proc/net/tcp").exists(), reason="no table of sockets")
def test_it_listens_to_this_computer_only() -> None:
    with Served() as served:
        hosts = listening(int(served.url.rpartition(":")[2]))
    # 127.0.0.1 and ::1 as Linux writes them (proc_pid_net(5)), little endian.
    loopback = {"0100007F", "00000000000000000000000001000000"}
    assert hosts
    assert hosts <= loopback
