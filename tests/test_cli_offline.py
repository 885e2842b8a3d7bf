"""A folder to carry to a computer without a network: what is in it, and that it runs."""

import hashlib
import os
import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from planner.errors import PlannerError, UsageError
from planner.offline import make_offline_folder

ROOT = Path(__file__).parents[1]
WHEELS = {"one-1.2-py3-none-any.whl": b"first", "two_b-0.3-py3-none-any.whl": b"second"}


class Fetcher:
    """Stands for pip: notes what it was asked for and leaves two wheels."""

    def __init__(self, code: int = 0, wheels: dict[str, bytes] | None = None) -> None:
        self.code = code
        self.wheels = WHEELS if wheels is None else wheels
        self.asked: list[str] = []

    def __call__(self, command: Sequence[str]) -> int:
        self.asked = list(command)
        folder = Path(command[command.index("--dest") + 1])
        for name, body in self.wheels.items():
            (folder / name).write_bytes(body)
        return self.code


def test_the_folder_holds_program_packages_and_scripts(tmp_path: Path) -> None:
    fetch = Fetcher()
    assert make_offline_folder(ROOT, tmp_path / "stick", fetch) == 2
    folder = tmp_path / "stick"
    assert {one.name for one in folder.iterdir()} == {
        "READ_ME.txt", "program", "requirements.txt", "set_up.bat", "set_up.sh",
        "start.bat", "start.sh", "wheels",
    }  # fmt: skip
    assert (folder / "program" / "app.py").read_bytes() == (
        ROOT / "app.py"
    ).read_bytes()
    assert (folder / "program" / ".streamlit" / "config.toml").is_file()
    assert (folder / "program" / "sample_data" / "quiet_street.xlsx").is_file()
    assert not list(folder.rglob("__pycache__"))
    assert any(one.startswith("streamlit") for one in fetch.asked)
    assert any(one.startswith("highspy") for one in fetch.asked)


def test_every_package_is_pinned_with_its_checksum(tmp_path: Path) -> None:
    # pip user guide, "Secure installs": name==version --hash=sha256:...
    make_offline_folder(ROOT, tmp_path / "stick", Fetcher())
    lines = (tmp_path / "stick" / "requirements.txt").read_text().splitlines()
    assert lines == [
        f"one==1.2 --hash=sha256:{hashlib.sha256(b'first').hexdigest()}",
        f"two_b==0.3 --hash=sha256:{hashlib.sha256(b'second').hexdigest()}",
    ]


def test_the_scripts_stay_off_the_network_and_on_this_computer(tmp_path: Path) -> None:
    make_offline_folder(ROOT, tmp_path / "stick", Fetcher())
    for name in ("set_up.sh", "set_up.bat"):
        text = (tmp_path / "stick" / name).read_text()
        assert "--no-index" in text
        assert "--require-hashes" in text
        assert f"{sys.version_info[0]}.{sys.version_info[1]}" in text
    for name in ("start.sh", "start.bat"):
        text = (tmp_path / "stick" / name).read_text()
        assert "--server.address localhost" in text
        assert "--browser.gatherUsageStats false" in text
    assert b"\r\n" in (tmp_path / "stick" / "set_up.bat").read_bytes()
    assert b"\r\n" not in (tmp_path / "stick" / "set_up.sh").read_bytes()


@pytest.mark.skipif(shutil.which("sh") is None, reason="no shell")
@pytest.mark.parametrize("name", ["set_up.sh", "start.sh"])
def test_the_shell_scripts_can_be_read_by_a_shell(tmp_path: Path, name: str) -> None:
    make_offline_folder(ROOT, tmp_path / "stick", Fetcher())
    done = subprocess.run(["sh", "-n", tmp_path / "stick" / name], check=False)
    assert done.returncode == 0


@pytest.mark.parametrize("fetch", [Fetcher(code=1), Fetcher(wheels={})])
def test_without_a_network_nothing_is_left_behind(
    tmp_path: Path, fetch: Fetcher
) -> None:
    with pytest.raises(PlannerError, match="network"):
        make_offline_folder(ROOT, tmp_path / "stick", fetch)
    assert not (tmp_path / "stick").exists()


def test_a_folder_in_use_is_never_touched(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine")
    with pytest.raises(UsageError):
        make_offline_folder(ROOT, tmp_path, Fetcher())
    assert (tmp_path / "mine.txt").read_text() == "mine"
    with pytest.raises(UsageError):
        make_offline_folder(ROOT, ROOT / "stick", Fetcher())
    assert not (ROOT / "stick").exists()


def _cut(*command: str) -> list[str]:
    """A command in a network of its own, in which nothing can be reached."""
    return ["unshare", "--map-root-user", "--net", *command]


def _can_cut() -> bool:
    if shutil.which("unshare") is None:
        return False
    return (
        subprocess.run(_cut("true"), check=False, capture_output=True).returncode == 0
    )


@pytest.mark.slow
@pytest.mark.skipif(not _can_cut(), reason="no network namespaces here")
def test_the_command_line_plans_with_the_network_cut(tmp_path: Path) -> None:
    probe = (
        "import socket; socket.create_connection(('192.0.2.1', 80), timeout=3)"
        # RFC 5737: 192.0.2.0/24 is kept for documentation.
    )
    cut = subprocess.run(
        _cut(sys.executable, "-c", probe), check=False, capture_output=True
    )
    assert b"unreachable" in cut.stderr
    sample = ROOT / "sample_data" / "quiet_street.xlsx"
    done = subprocess.run(
        _cut(sys.executable, "-m", "planner", "plan", str(sample), "--out",
             str(tmp_path), "--no-borrow", "--paper", "a4"),
        check=False, capture_output=True, cwd=ROOT, env=dict(os.environ),
    )  # fmt: skip
    assert done.returncode in {0, 1}, done.stderr
    assert (tmp_path / "plan.xlsx").is_file()
    assert (tmp_path / "paper.pdf").is_file()
