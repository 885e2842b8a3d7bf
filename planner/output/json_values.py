"""Values as the plan's JSON writes them: clocks, rounded numbers, series."""

import math
from datetime import datetime
from typing import TypeAlias

Json: TypeAlias = str | int | float | bool | list["Json"] | dict[str, "Json"] | None


def clock_value(moment: datetime | None) -> str | None:
    """Clock time to the minute, ISO 8601 without zone: the hall's own clock."""
    return None if moment is None else moment.isoformat(timespec="minutes")


def rounded(value: float | None, decimals: int) -> float | None:
    """Round a number, never to minus zero; not known and endless are null."""
    if value is None or not math.isfinite(value):
        return None
    return round(float(value), decimals) + 0.0


def series(values: tuple[float, ...]) -> list[Json]:
    """Hourly watt-hours, one value an hour, to a tenth."""
    return [rounded(one, 1) for one in values]
