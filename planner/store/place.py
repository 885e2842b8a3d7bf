"""Where the working file lies: with the person's own data, never in the program."""

import os
import sys
from collections.abc import Mapping
from pathlib import Path

FOLDER_VARIABLE = "PLANNER_DATA_DIR"
"""Environment variable that names another folder."""

_FOLDER = "cold-storage-planner"
_FILE = "work.sqlite"


def work_file(
    environment: Mapping[str, str] = os.environ,
    platform: str = sys.platform,
    home: Path | None = None,
) -> Path:
    """Path of the working file on this computer.

    Windows: ``%LOCALAPPDATA%``; macOS: ``~/Library/Application Support``;
    elsewhere ``$XDG_DATA_HOME`` or ``~/.local/share`` (XDG Base Directory
    Specification, version 0.8).
    """
    given = environment.get(FOLDER_VARIABLE, "")
    if given:
        return Path(given).expanduser().absolute() / _FILE
    return _base(environment, platform, home or Path.home()) / _FOLDER / _FILE


def _base(environment: Mapping[str, str], platform: str, home: Path) -> Path:
    if platform == "win32":
        local = environment.get("LOCALAPPDATA", "")
        return Path(local) if local else home / "AppData" / "Local"
    if platform == "darwin":
        return home / "Library" / "Application Support"
    named = environment.get("XDG_DATA_HOME", "")
    # The specification says that a relative path is to be ignored.
    return Path(named) if named.startswith("/") else home / ".local" / "share"
