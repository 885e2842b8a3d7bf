"""Measure, save each row, and print or write what was found.

``python -m tests.bench --size M --seeds 10 --methods planner,cp_sat``
measures what has no saved row yet, one process at a time, and prints a
table; ``--out docs/performance.md`` (or a ``.csv``) writes all saved rows.
"""

import argparse
import json
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

from tests.bench.methods import METHODS
from tests.bench.report import as_csv, as_page, as_table
from tests.bench.town import SIZES

ROWS = Path("out/bench")
"""Where rows are saved; not part of the repository."""
GRACE_S = 90.0
"""Time over the limit before a process is ended: models have to be built."""


def main(argv: list[str] | None = None) -> None:
    """Read the command line and do it."""
    args = _arguments().parse_args(argv)
    ROWS.mkdir(parents=True, exist_ok=True)
    for size in args.size.split(",") if args.size else ():
        for method in args.methods.split(","):
            for seed in _seeds(args.seeds):
                row = _measured(size, seed, method, args.limit, again=args.again)
                print(as_table([row]), flush=True)
    rows = saved_rows()
    if args.out is not None:
        text = as_csv(rows) if args.out.suffix == ".csv" else as_page(rows)
        args.out.write_text(text)
    elif not args.size:
        print(as_table(rows))


def _arguments() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m tests.bench")
    parser.add_argument("--size", help=f"of {','.join(SIZES)}; none: only report")
    parser.add_argument("--seeds", default="10", help="how many, or e.g. 3,5")
    parser.add_argument("--methods", default="planner", help=",".join(METHODS))
    parser.add_argument("--limit", type=float, default=60.0, help="seconds")
    parser.add_argument("--again", action="store_true", help="measure anew")
    parser.add_argument("--out", type=Path, help=".md page or .csv of all rows")
    return parser


def _seeds(text: str) -> list[int]:
    """``10`` means 0 to 9, ``3,5`` or ``3,`` those seeds."""
    if "," in text:
        return [int(part) for part in text.split(",") if part]
    return list(range(int(text)))


def saved_rows() -> list[dict[str, Any]]:
    """All rows measured so far."""
    return [json.loads(path.read_text()) for path in sorted(ROWS.glob("*.json"))]


def _measured(
    size: str, seed: int, method: str, limit_s: float, *, again: bool
) -> dict[str, Any]:
    """Measure in a process of its own; a failure is a row, too."""
    path = ROWS / f"{size}-{seed:02}-{method}.json"
    if path.exists() and not again:
        found: dict[str, Any] = json.loads(path.read_text())
        if found["limit_s"] == limit_s:
            return found
    path.unlink(missing_ok=True)
    words = [size, str(seed), method, str(limit_s), str(path)]
    fault = _run_alone([sys.executable, "-m", "tests.bench.one", *words], limit_s)
    if not path.exists():
        row = {
            "size": size,
            "seed": seed,
            "method": method,
            "limit_s": limit_s,
            "seconds": None,
            "proven": False,
            "clean": False,
            "fault": fault or "no row",
            "stages": [],
            "notes": {},
            "memory_mb": None,
        }
        path.write_text(json.dumps(row, indent=1, sort_keys=True) + "\n")
    measured: dict[str, Any] = json.loads(path.read_text())
    return measured


def _run_alone(command: list[str], limit_s: float) -> str:
    """Run a process and all it starts; returns what went wrong."""
    with subprocess.Popen(
        command,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    ) as process:
        try:
            _, errors = process.communicate(timeout=2 * limit_s + GRACE_S)
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, signal.SIGKILL)
            return "ended: far over its limit"
    lines = errors.strip().splitlines()
    return (lines or ["ended early"])[-1] if process.returncode else ""


if __name__ == "__main__":
    main()
