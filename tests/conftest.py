"""No test may touch the work that somebody saved on this computer."""

from pathlib import Path

import pytest

from planner.store.place import FOLDER_VARIABLE


@pytest.fixture(autouse=True)
def data_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of its own for the working file of each test."""
    folder = tmp_path / "data"
    monkeypatch.setenv(FOLDER_VARIABLE, str(folder))
    return folder
