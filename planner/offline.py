"""A folder that sets up and runs this program on a computer without a network.

Made on a computer with a network, carried on a stick.  It holds the program,
the packages it needs as wheels, each with its checksum, and two scripts.
"""

import hashlib
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Callable, Sequence
from pathlib import Path

from planner.errors import PlannerError, UsageError

Run = Callable[[Sequence[str]], int]
"""Runs a command and gives its exit code."""

_PROGRAM = (
    ".streamlit", "LICENSE", "README.md", "app.py", "docs", "planner", "pyproject.toml",
    "sample_data",
)  # fmt: skip
_NOT_CARRIED = ("__pycache__", "*.pyc", ".mypy_cache", "*.sqlite*")
_SET_UP_SH = """#!/bin/sh
# Sets the program up in this folder, without a network. Run once: sh set_up.sh
set -e
cd "$(dirname "$0")"
"${{PYTHON:-python3}}" -c 'import sys; sys.exit(sys.version_info[:2] != {version})' || {{
  echo "This folder was made for Python {dotted}. Set PYTHON to such a one:"
  echo "  PYTHON=python{dotted} sh set_up.sh"
  exit 1
}}
"${{PYTHON:-python3}}" -m venv venv
venv/bin/python -m pip install --no-index --find-links wheels --require-hashes -r requirements.txt
echo "Done. Start it with: sh start.sh"
"""
_START_SH = """#!/bin/sh
# Starts the program: sh start.sh ; then open http://localhost:8501
cd "$(dirname "$0")/program"
exec ../venv/bin/python -m streamlit run app.py --server.address localhost --browser.gatherUsageStats false
"""
_SET_UP_BAT = """@echo off
rem Sets the program up in this folder, without a network. Run once.
cd /d "%~dp0"
py -{dotted} -m venv venv || goto failed
venv\\Scripts\\python -m pip install --no-index --find-links wheels --require-hashes -r requirements.txt || goto failed
echo Done. Start it with start.bat
exit /b 0
:failed
echo It failed. This folder was made for Python {dotted} on {system}.
exit /b 1
"""
_START_BAT = """@echo off
rem Starts the program; then open http://localhost:8501
cd /d "%~dp0program"
..\\venv\\Scripts\\python -m streamlit run app.py --server.address localhost --browser.gatherUsageStats false
"""
_READ_ME = """COLD-STORAGE PLANNER, to set up without a network

Made for Python {dotted} on {system}. Another system or another Python needs a
folder made on such a computer.

Linux, macOS   sh set_up.sh     then   sh start.sh
Windows        set_up.bat       then   start.bat

Then open http://localhost:8501 in a browser on the same computer.
The command line: from the folder "program", ../venv/bin/python -m planner --help
(Windows: ..\\venv\\Scripts\\python -m planner --help)
"""


def make_offline_folder(root: Path, folder: Path, run: Run | None = None) -> int:
    """Make the folder from the program at ``root``; give the number of wheels.

    Raises
    ------
    UsageError
        The folder holds something already, or lies inside the program.
    PlannerError
        The packages could not be fetched; what was made is taken away.
    """
    folder = folder.absolute()
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise UsageError(f"{folder} is not an empty folder; choose a new one")
    if root in (folder, *folder.parents):
        raise UsageError("choose a folder outside the program's own")
    folder.mkdir(parents=True, exist_ok=True)
    try:
        _fetch(root, folder / "wheels", run or _run)
        _copy_program(root, folder / "program")
        return _write_texts(folder)
    except BaseException:
        shutil.rmtree(folder, ignore_errors=True)
        raise


def _run(command: Sequence[str]) -> int:
    return subprocess.run(command, check=False).returncode  # noqa: S603


def _fetch(root: Path, wheels: Path, run: Run) -> None:
    project = tomllib.loads((root / "pyproject.toml").read_text("utf-8"))["project"]
    wheels.mkdir()
    command = [
        sys.executable, "-m", "pip", "download", "--only-binary", ":all:",
        "--disable-pip-version-check", "--quiet", "--dest", str(wheels),
        *project["dependencies"],
    ]  # fmt: skip
    if run(command) != 0 or not any(wheels.glob("*.whl")):
        raise PlannerError("the packages could not be fetched; is there a network?")


def _copy_program(root: Path, program: Path) -> None:
    program.mkdir()
    for name in _PROGRAM:
        source, target = root / name, program / name
        if source.is_dir():
            ignored = shutil.ignore_patterns(*_NOT_CARRIED)
            shutil.copytree(source, target, ignore=ignored)
        elif source.is_file():
            shutil.copyfile(source, target)


def _write_texts(folder: Path) -> int:
    found = sorted((folder / "wheels").glob("*.whl"))
    pins = []
    for wheel in found:
        name, version = wheel.name.split("-")[:2]
        checksum = hashlib.sha256(wheel.read_bytes()).hexdigest()
        pins.append(f"{name}=={version} --hash=sha256:{checksum}\n")
    (folder / "requirements.txt").write_text("".join(pins), "utf-8", newline="\n")
    major, minor = sys.version_info[:2]
    words = {
        "version": f"({major}, {minor})",
        "dotted": f"{major}.{minor}",
        "system": sys.platform,
    }
    for name, text, newline in (
        ("set_up.sh", _SET_UP_SH.format(**words), "\n"),
        ("start.sh", _START_SH, "\n"),
        ("set_up.bat", _SET_UP_BAT.format(**words), "\r\n"),
        ("start.bat", _START_BAT, "\r\n"),
        ("READ_ME.txt", _READ_ME.format(**words), "\r\n"),
    ):
        (folder / name).write_text(text, "utf-8", newline=newline)
    return len(found)
