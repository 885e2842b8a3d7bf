"""How one reader wants things said: language, units, clock.

Everything a page or a sheet says about a number, a time or a plan goes
through here, so that a second language or another clock is one choice.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from planner.issue import Issue
from planner.output import words
from planner.output.wording import Language, Wording, wording
from planner.output.wording.phrasebook import phrasebook, told
from planner.output.words import Clock, Units

TOKENS = {
    **{day: f"date.{day.lower()}" for day in words.DAYS},
    **{month: f"date.{month.lower()}" for month in words.MONTHS},
    "to": "unit.to",
    "minus": "unit.minus",
    "am": "tell.clock.am",
    "pm": "tell.clock.pm",
    "noon": "tell.clock.noon",
    "midnight": "tell.clock.midnight",
}
"""Words inside a formatted number or time, and their messages."""

_WORD = re.compile(r"[A-Za-z]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Manner:
    """Language, units that stand first, and the clock."""

    language: Language = Language.EN
    units: Units = Units.METRIC
    clock: Clock = Clock.H24

    @property
    def words(self) -> Wording:
        """All messages of the language."""
        return wording(self.language)

    def say(self, key: str, **fields: object) -> str:
        """Message of an id; raises ``UsageError`` when it is not in the tables."""
        return self.words.say(key, **fields)

    def count(self, key: str, number: int, **fields: object) -> str:
        """Message for one thing (``key.one``) or several (``key.many``)."""
        return self.words.count(key, number, **fields)

    def day_clock(self, moment: datetime, start: datetime | None = None) -> str:
        """Clock time with its day, and its date where a day could be mistaken."""
        return self._local(words.day_clock(moment, start, self.clock))

    def full_day(self, moment: datetime) -> str:
        """Day with its date."""
        return self._local(words.full_day(moment))

    def hour_clock(self, hour: float) -> str:
        """Clock hour without its day."""
        return self._local(words.hour_clock(hour, self.clock))

    def time_of_day(self, moment: datetime) -> str:
        """Clock time of a moment of today, without the day."""
        return self.hour_clock(moment.hour + moment.minute / 60)

    def temperature(self, temp_c: float) -> str:
        """One temperature on both scales."""
        return self._local(words.temperature(temp_c, self.units))

    def band(self, low_c: float, high_c: float) -> str:
        """Temperature band on both scales."""
        return self._local(words.band(low_c, high_c, self.units))

    def at_most(self, temp_c: float) -> str:
        """Upper limit on both scales."""
        return self._local(words.at_most(temp_c, self.units))

    def volume(self, volume_l: float) -> str:
        """Volume in litres and US quarts."""
        return words.volume(volume_l, self.units)

    def volume_only(self, volume_l: float) -> str:
        """Volume in the one unit that stands first, where there is no room for both."""
        return words.volume_only(volume_l, self.units)

    def volume_number(self, volume_l: float) -> str:
        """Volume without its unit, beside another one that names it."""
        return words.volume_number(volume_l, self.units)

    def ice(self, ice_kg: float) -> str:
        """Weight of ice in kilograms and pounds."""
        return words.ice(ice_kg, self.units)

    def hours(self, hours_h: float) -> str:
        """Length of time in hours."""
        shown = words.number(hours_h)
        form = "one" if shown == "1" else "many"
        return self.say(f"tell.hours.{form}", count=shown)

    def listed(self, parts: Sequence[str]) -> str:
        """Parts as a sentence would list them: ``A, B and C``."""
        if len(parts) < 2:
            return "".join(parts)
        return f"{', '.join(parts[:-1])} {self.say('unit.and')} {parts[-1]}"

    def told(self, text: str) -> str:
        """Text that another room wrote, in this manner; see the phrasebook."""
        return words.turned(
            told(self.language, text), self.units, self.clock, self._local
        )

    def issue(self, issue: Issue) -> tuple[str, str]:
        """Message and remedy of an issue."""
        # An issue quotes what somebody typed: that is marked, and stays so.
        message, remedy = phrasebook(self.language).tell_issue(issue)
        return (
            words.turned(message, self.units, self.clock, self._local),
            words.turned(remedy, self.units, self.clock, self._local),
        )

    def where(self, issue: Issue) -> str:
        """Place of an issue in words: sheet, row, column."""
        parts = [issue.sheet] if issue.sheet else []
        if issue.row is not None:
            parts.append(self.say("tell.where.row", row=issue.row))
        if issue.column:
            parts.append(self.say("tell.where.column", column=issue.column))
        return ", ".join(parts)

    def caution(self, english: str) -> str:
        """A caution, or whom to ask, in the language."""
        return words.turned(
            self.words.caution(english), self.units, self.clock, self._local
        )

    def _local(self, text: str) -> str:
        """Names of days and small words in a formatted number or time."""
        if self.language is Language.EN:
            return text
        return _WORD.sub(
            lambda found: self.say(TOKENS[found[0]]) if found[0] in TOKENS
            else found[0],
            text,
        )  # fmt: skip


PLAIN = Manner()
"""English, metric first, 24-hour clock: what files and the terminal are in."""
