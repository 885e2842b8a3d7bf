"""Rows of measurements as a table, as a sheet, and as a page of the docs."""

import csv
import io
import math
import statistics
from collections.abc import Callable
from typing import Any

Row = dict[str, Any]

TARGETS_S = {"S": 3.0, "M": 10.0, "L": 60.0, "XL": 300.0}
"""Seconds in which a town of a size is to be planned."""
GAP = 0.01
"""Share of a tier that may stay unproven in the two large sizes."""
MEMORY_MB = 2048.0
BORROW_S = 60.0
FASTER = 50.0
"""How many times faster than one model for everything."""
MONOLITHS = ("pulp_highs", "pulp_cbc", "cp_sat")
NAMES = {
    "planner": "this planner",
    "planner_borrow": "this planner, with the borrow list",
    "first_fit": "first fit by hand",
    "pulp_highs": "one model, PuLP with HiGHS",
    "pulp_cbc": "one model, PuLP with CBC",
    "cp_sat": "one model, OR-Tools CP-SAT",
}
HEAD = """# Performance

How fast the planner is, and how good its plans are beside other ways to make one.
Made by `python -m tests.bench --out docs/performance.md` from saved measurements; do not edit by hand.
Machine: 2 cores, Python 3.11. This planner was measured with nothing beside it, since its trials use both cores, but XL and the borrow list two at a time; the other methods at most two at a time, each on one core.

## What is measured

**Towns.** `tests/bench/town.py` draws invented towns in a heat wave, the same for the same size and seed: S 40 residents, 6 units, 4 batteries, 4 panels; M 150, 12, 10, 10; L 600, 30, 24, 24 in 4 places; XL 3,000, 120, 100, 100 in 20 places; 72 hours.
Litres, watt-hours, sockets and ice are all scarce. Some towns have a few hours of mains, a generator, a car, or a life-support load; some kit is lent for part of the window; in the towns of several places residents reach only some of them.

**First fit by hand.** The most important bag first, into the first unit that fits; a further unit is switched on when a battery or source in its place carries it to the end, as full as that allows. Plugs of units never move.

**One model.** Which bag, which unit, which plug and which hour in one model of whole numbers (`tests/bench/monolith.py`), without pools, cuts or rolled periods: the same counted bags and the same numbers as the planner, the same rules, plugs that move at the swap times. Tier by tier, each stage for at most half of the time that is left, started from the values of the stage before. Solved by three solvers on one thread each.

**Values.** Every plan is turned into bags of lines, scored and audited by the same code. Values are compared in the order of importance: in each tier households with a first bag, then bags, then the shorter allowances; need before surplus.

**Reading the tables.** `A 12/12 40/41` is tier A: 12 households of at most 12 have a bag cold, and 40 bags of at most 41, by the method's own bound; `D+` is surplus. *Proven* means that nothing better exists. Seconds are of the wall clock, from the scenario to the finished plan, with everything loaded before as it is in the app, and grow when the machine is busy with other things; CPU seconds do not. Memory is the most in use.
"""


BORROW_HEAD = """The list of loans, least amounts, kinds of kit and other steps, measured from the moment the plan itself is there (`--methods planner_borrow`).
Looks are counted, not timed, so the seconds hang on the machine; the silence is the longest time without a word of progress.
"""


def as_table(rows: list[Row]) -> str:
    """Plain lines for the terminal, one a row."""
    return "\n".join(
        f"{r['size']:2} {r['seed']:2} {r['method']:14} {_seconds(r):>8} s "
        f"{_memory(r):>6} MB {_end(r)}  {tiers(r)}"
        for r in rows
    )


def as_csv(rows: list[Row]) -> str:
    """One line a stage of a row, for a spreadsheet."""
    out = io.StringIO()
    fields = ("size", "seed", "method", "limit_s", "seconds", "memory_mb")
    more = ("proven", "clean", "fault")
    stage = (
        "tier",
        "needed",
        "households",
        "household_bound",
        "met",
        "bound",
        "lateness",
    )
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow((*fields, *more, *stage))
    for row in rows:
        for one in row["stages"] or [{}]:
            writer.writerow(
                [
                    *(row.get(f) for f in (*fields, *more)),
                    *(one.get(f) for f in stage),
                ]
            )
    return out.getvalue()


def as_page(rows: list[Row]) -> str:
    """Render the page of the docs: targets, summaries, every row."""
    rows = sorted(rows, key=_place)
    parts = [HEAD, "## Targets\n", _targets(rows), "\n## In short\n", _short(rows)]
    lists = [r for r in rows if r["method"] == "planner_borrow"]
    if lists:
        parts += ["\n## The borrow list\n", borrow_section(lists)]
    for size in TARGETS_S:
        mine = [r for r in rows if r["size"] == size]
        if mine:
            parts += [f"\n## Every measurement, size {size}\n", _all(mine)]
    return "\n".join(parts) + "\n"


def borrow_section(rows: list[Row]) -> str:
    """What the borrow list took, apart from the plan before it."""
    lines = [
        BORROW_HEAD,
        "| Size | Seed | Offers | Plan s | Borrow list s | of it CPU s | Placements solved | Steps | Kinds asked for | Steps without equipment | Longest silence s |",
        "|---|---|---|---|---|---|---|---|---|---|---|",
    ]
    for r in rows:
        n = r["notes"]
        if r["seconds"] is None or n.get("borrow_s") is None:
            continue
        lines.append(
            f"| {r['size']} | {r['seed']} | {n['offers']} "
            f"| {r['seconds'] - n['borrow_s']:.1f} | {n['borrow_s']:.1f} "
            f"| {n['borrow_cpu_s']:.1f} | {n['solved']} | {n['steps']} | {n['asked']} "
            f"| {n['others']} | {n['longest_silence_s']:.1f} |"
        )
    return "\n".join(lines)


# -- a row ------------------------------------------------------------------


def worth(row: Row) -> tuple[int, ...]:
    """Values of a row in the order of importance; nothing planned is least."""
    return tuple(
        n for s in row["stages"] for n in (s["households"], s["met"], -s["lateness"])
    )


def gap(row: Row) -> float:
    """Largest share of any tier's bound that was not met."""
    shares = [0.0]
    for s in row["stages"]:
        for met, bound in ((s["met"], s.get("bound")), _homes(s)):
            if bound:
                shares.append((bound - met) / bound)
    return max(shares)


def tiers(row: Row) -> str:
    """Values and bounds of each tier that anybody has."""
    return "; ".join(
        f"{s['tier']} "
        + ("" if "+" in s["tier"] else f"{_of(*_homes(s))} ")
        + _of(s["met"], s.get("bound"))
        for s in row["stages"]
    )


def _homes(stage: dict[str, Any]) -> tuple[int, int | None]:
    return stage["households"], stage.get("household_bound")


def _of(met: int, bound: int | None) -> str:
    return f"{met}" if bound is None else f"{met}/{bound}"


def _place(row: Row) -> tuple[int, int, int]:
    sizes, methods = list(TARGETS_S), list(NAMES)
    return sizes.index(row["size"]), row["seed"], methods.index(row["method"])


def _seconds(row: Row) -> str:
    return "-" if row["seconds"] is None else f"{row['seconds']:.2f}"


def _cpu(row: Row) -> str:
    return f"{row['cpu_s']:.2f}" if row.get("cpu_s") is not None else "-"


def _memory(row: Row) -> str:
    return "-" if row["memory_mb"] is None else f"{row['memory_mb']:.0f}"


def _end(row: Row) -> str:
    """How a row ended, in words."""
    if row["fault"]:
        return row["fault"].replace("|", "/")
    if row["method"] == "first_fit":
        return "audit clean"
    told = "proven" if row["proven"] else "not proven"
    if row["method"] == "planner_borrow":
        steps, silent_s = row["notes"]["steps"], row["notes"]["longest_silence_s"]
        told += f"; {steps} steps of loans, silent for {silent_s:.0f} s at most"
    return told


def _fine(row: Row) -> bool:
    return bool(row["clean"]) and not row["fault"]


# -- targets ------------------------------------------------------------------


def _targets(rows: list[Row]) -> str:
    """Each target with what was measured."""
    lines = ["| Target | Measured |", "|---|---|"]
    for size, limit_s in TARGETS_S.items():
        mine = _of_method(rows, size, "planner")
        if not mine:
            continue
        if size in ("S", "M"):
            told = f"{size}: every tier proven, hookup found, audit clean, under {limit_s:.0f} s"
            holds = [r for r in mine if _fine(r) and r["proven"] and _quick(r)]
        else:
            told = f"{size}: at most {GAP:.0%} open in any tier, audit clean, under {limit_s:.0f} s and 2 GB"
            holds = [r for r in mine if _fine(r) and gap(r) <= GAP and _quick(r)]
            holds = [r for r in holds if r["memory_mb"] < MEMORY_MB]
        lines.append(f"| {told} | {_holds(holds, mine)} |")
    lines.append(_never_below(rows))
    lines.append(_times_faster(rows))
    borrow = _of_method(rows, "M", "planner_borrow")
    if borrow:
        holds = [r for r in borrow if _fine(r) and _borrow_s(r) < BORROW_S]
        told = f"M: borrow list over 30 offers under {BORROW_S:.0f} s, plan apart"
        lines.append(f"| {told} | {_holds(holds, borrow)} |")
    return "\n".join(lines)


def _borrow_s(row: Row) -> float:
    """Seconds of the borrow list; of the whole where it was not told apart."""
    seconds = row["notes"].get("borrow_s", row["seconds"])
    return math.inf if seconds is None else float(seconds)


def _quick(row: Row) -> bool:
    return row["seconds"] is not None and row["seconds"] < TARGETS_S[row["size"]]


def _holds(holds: list[Row], all_rows: list[Row]) -> str:
    missed = [str(r["seed"]) for r in all_rows if r not in holds]
    text = f"{len(holds)} of {len(all_rows)} seeds"
    return text + (f"; missed by seed {', '.join(missed)}" if missed else "")


def _pairs(rows: list[Row], methods: tuple[str, ...]) -> list[tuple[Row, Row]]:
    """The planner's row and each other method's on the same town."""
    own = {(r["size"], r["seed"]): r for r in rows if r["method"] == "planner"}
    return [
        (own[r["size"], r["seed"]], r)
        for r in rows
        if r["method"] in methods and (r["size"], r["seed"]) in own
    ]


def _never_below(rows: list[Row]) -> str:
    pairs = [(a, z) for a, z in _pairs(rows, (*MONOLITHS, "first_fit")) if _fine(z)]
    below = [z for a, z in pairs if worth(a) < worth(z)]
    told = f"{len(pairs) - len(below)} of {len(pairs)} comparisons"
    if below:
        names = [f"{z['size']} {z['seed']} by {NAMES[z['method']]}" for z in below]
        told += f"; above it: {', '.join(names)}"
    return f"| Never a value below first fit or one model | {told} |"


def _times_faster(rows: list[Row]) -> str:
    pairs = [(a, z) for a, z in _pairs(rows, MONOLITHS) if z["size"] == "M"]
    holds, ratios = 0, []
    for a, z in pairs:
        if not _fine(a) or worth(a) < worth(z):
            continue
        ratio = (z["seconds"] or 2 * z["limit_s"]) / a["seconds"]
        if z["proven"]:
            ratios.append(ratio)
        open_at_limit = not z["proven"] and z["limit_s"] >= 300
        holds += ratio >= FASTER or open_at_limit
    told = f"{holds} of {len(pairs)} comparisons"
    if ratios:
        told += f"; where one model was proven: {min(ratios):.1f} to {max(ratios):.1f} times"
    return (
        f"| M: {FASTER:.0f} times faster than one model at an equal or better value,"
        f" or one model unproven after 300 s | {told} |"
    )


def _of_method(rows: list[Row], size: str, method: str) -> list[Row]:
    return [r for r in rows if (r["size"], r["method"]) == (size, method)]


# -- summaries and rows ----------------------------------------------------------


def _short(rows: list[Row]) -> str:
    """One line a size and method."""
    lines = [
        "| Size | Method | Limit s | Seeds | Plan found, audit clean | Proven | Seconds: median, most | MB, most | Better / equal / worse than the planner |",
        "|---|---|---|---|---|---|---|---|---|",
    ]
    for size in TARGETS_S:
        for method in NAMES:
            mine = _of_method(rows, size, method)
            if not mine:
                continue
            limits = sorted({f"{r['limit_s']:.0f}" for r in mine})
            lines.append(
                f"| {size} | {NAMES[method]} | {', '.join(limits)} | {len(mine)} "
                f"| {sum(_fine(r) for r in mine)} | {sum(r['proven'] for r in mine)} "
                f"| {_spread(mine, 'seconds', '.2f')} | {_most(mine, 'memory_mb')} "
                f"| {_beside(rows, mine)} |"
            )
    return "\n".join(lines)


def _spread(rows: list[Row], field: str, form: str) -> str:
    known = [r[field] for r in rows if r[field] is not None]
    if not known:
        return "-"
    return f"{statistics.median(known):{form}}, {max(known):{form}}"


def _most(rows: list[Row], field: str) -> str:
    known = [r[field] for r in rows if r[field] is not None]
    return f"{max(known):.0f}" if known else "-"


def _beside(rows: list[Row], mine: list[Row]) -> str:
    method = mine[0]["method"]
    if method.startswith("planner"):
        return ""
    pairs = [(a, z) for a, z in _pairs(rows, (method,)) if z in mine]
    how: list[Callable[[Any, Any], bool]] = [
        lambda a, z: worth(z) > worth(a),
        lambda a, z: worth(z) == worth(a),
        lambda a, z: worth(z) < worth(a),
    ]
    return " / ".join(str(sum(one(a, z) for a, z in pairs)) for one in how)


def _all(rows: list[Row]) -> str:
    lines = [
        "| Seed | Method | Seconds | CPU s | MB | End | Tiers |",
        "|---|---|---|---|---|---|---|",
    ]
    lines += [
        f"| {r['seed']} | {NAMES[r['method']]} | {_seconds(r)} | {_cpu(r)} "
        f"| {_memory(r)} | {_end(r)} | {tiers(r)} |"
        for r in rows
    ]
    return "\n".join(lines)
