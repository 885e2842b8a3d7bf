"""One measurement, in a process of its own; writes one row as JSON."""

import json
import resource
import sys
import time
from dataclasses import asdict
from pathlib import Path

from planner.pipeline import get_ready
from tests.bench.methods import run
from tests.bench.town import town


def main(size: str, seed: int, method: str, limit_s: float, path: Path) -> None:
    """Measure one method on one town.

    Memory is the most that this process had in use, plus that of the
    largest process it started.
    """
    scenario = town(size, seed)
    get_ready()
    began = time.process_time()
    told = asdict(run(method, scenario, limit_s))
    mine = resource.getrusage(resource.RUSAGE_SELF)
    children = resource.getrusage(resource.RUSAGE_CHILDREN)
    row = {
        "size": size,
        "seed": seed,
        "method": method,
        "limit_s": limit_s,
        **told,
        "cpu_s": time.process_time() - began + children.ru_utime,
        "memory_mb": (mine.ru_maxrss + children.ru_maxrss) / 1024,
    }
    path.write_text(json.dumps(row, indent=1, sort_keys=True) + "\n")


if __name__ == "__main__":
    size, seed, method, limit_s, path = sys.argv[1:]
    main(size, int(seed), method, float(limit_s), Path(path))
