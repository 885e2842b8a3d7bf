"""Print how the intake reads the damaged lists, and how long 5,000 lines take.

``python -m tests.intake_report`` prints fields right, asked and wrong for
each kind of damage, the wrong ones in words, and the time beside a bare
read of the same file with openpyxl.
"""

import io
import time
import warnings
from collections import Counter

from openpyxl import load_workbook

from planner.intake import read
from tests.intake_corpus import HEAD, Maker, corpus, grid, xlsx
from tests.intake_lines import item_lines
from tests.intake_score import NOW, OTHERS, SAFETY, Score, score_all

LINES = 5_000
OUTCOMES = ("right", "asked", "wrong")


def long_list(lines: int = LINES) -> bytes:
    """A list of many lines, all of their texts different."""
    make = Maker("long list")
    entries = []
    while len(entries) < lines:
        entries += make.entries(20)
    for at, one in enumerate(entries[:lines]):
        one.name = f"{one.name} {at // 4}"
        one.text = f"{one.text} (bag {at})"
    return xlsx({"Intake": grid(entries[:lines], HEAD)})


def bare_read_s(data: bytes) -> float:
    """Processor seconds that openpyxl alone takes to walk all cells."""
    start = time.process_time()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        filled = sum(
            1
            for sheet in book.worksheets
            for row in sheet.iter_rows(values_only=True)
            for value in row
            if value is not None
        )
    assert filled
    return time.process_time() - start


def our_read_s(data: bytes) -> tuple[float, int]:
    """Processor seconds that the whole intake takes, and the lines it read."""
    start = time.process_time()
    found = read("long.xlsx", data, now=NOW)
    assert found.scenario is not None
    return time.process_time() - start, len(found.scenario.lines)


def shares(score: Score) -> str:
    """Counts and shares of the outcomes in one line."""
    whole = sum(score.counts.values())
    return ", ".join(
        f"{name} {score.total(name):,} ({100 * score.total(name) / whole:.1f} %)"
        for name in OUTCOMES
    )


def main() -> None:
    """Print the report."""
    files = corpus()
    whole, parts = score_all(files)
    print(f"{len(files)} files, {len(parts)} kinds of damage, "
          f"{sum(len(file.wants) for file in files)} rows with a known truth")  # fmt: skip
    print(f"{'damage':48} {'right':>7} {'asked':>7} {'wrong':>7}")
    for damage, score in parts.items():
        print(f"{damage:48} " + " ".join(f"{score.total(one):7}" for one in OUTCOMES))
    print(f"all fields: {shares(whole)}")
    print("by field:")
    for name in (*SAFETY, *OTHERS):
        counts = Counter({one: whole.counts[name, one] for one in OUTCOMES})
        marked = " (safety)" if name in SAFETY else ""
        print(
            f"  {name + marked:24} "
            + " ".join(f"{one} {counts[one]}" for one in OUTCOMES)
        )
    for text in whole.wrong:
        print(f"wrong: {text}")
    print(f"item lines with their own table: {len(item_lines())}")
    data = long_list()
    bare = bare_read_s(data)
    ours, lines = our_read_s(data)
    print(f"{LINES:,} lines, {len(data) / 1e6:.2f} MB: bare openpyxl {bare:.2f} s, "
          f"read, parsed and matched {ours:.2f} s of processor time ({lines} lines)")  # fmt: skip


if __name__ == "__main__":
    main()
