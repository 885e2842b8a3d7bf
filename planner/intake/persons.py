"""Residents and households of the intake rows, and the codes that stand for them."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from planner.intake.codes import assign_codes, is_code
from planner.intake.issues import Log
from planner.intake.resident_cells import oddity, own_person
from planner.intake.table import Row
from planner.intake.values import is_blank
from planner.intake.words import key


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Who a row belongs to, as typed; ``secret`` is what the code is made of."""

    secret: str
    resident: str
    household_key: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Coded:
    """Codes of a person: its own and its household's."""

    code: str
    household: str


def read_persons(rows: Sequence[Row], log: Log) -> tuple[Person, ...]:
    """One person a row; rows without a name get a person of their own.

    Blank names are not filled down: the name above may not be theirs.
    """
    seen: dict[str, int] = {}
    badges = _badges(rows)
    persons = []
    for row in rows:
        resident = _name(row)
        household = _known(row, "household")
        home = key(household) or household
        if not resident and household:
            resident = household
        why = oddity(resident) if resident else ""
        if why and not is_code(resident):
            row.say("resident-vague", "resident", value="", why=why)
        secret = _named(row, resident, why, badges) or _unnamed(row, resident, seen)
        if not resident:
            row.say("resident-blank", "resident")
        persons.append(Person(secret=secret, resident=resident, household_key=home))
    _say_alike(rows, persons, log)
    return tuple(persons)


def same_persons(some: Sequence[Row], others: Sequence[Row]) -> tuple[str, ...]:
    """What the code of each row's person would be made of, beside other rows.

    Empty where a row names nobody.  Nothing is said of the rows.
    """
    badges = _badges(others)
    found = []
    for row in some:
        resident = _name(row) or _known(row, "household")
        why = oddity(resident) if resident else ""
        found.append(_named(row, resident, why, badges))
    return tuple(found)


def _named(row: Row, resident: str, why: str, badges: Mapping[str, set[str]]) -> str:
    """What the code of a named person is made of; empty where nobody is named."""
    household = _known(row, "household")
    home = key(household) or household
    if is_code(resident):
        return resident.upper()
    if not resident or (own_person(why) and not home):
        return ""
    secret = f"{key(resident) or resident}|{home}"
    badge = key(_known(row, "badge"))
    return secret + (f"|{badge}" if len(badges.get(secret, ())) > 1 and badge else "")


def _unnamed(row: Row, resident: str, seen: dict[str, int]) -> str:
    """Own secret of a row without a name of its own; order decides of equals."""
    what = f"unnamed|{key(row.text('item'))}|{key(row.text('place'))}"
    what += f"|{key(resident)}" if resident else ""
    seen[what] = seen.get(what, 0) + 1
    return f"{what}|{seen[what]}"


def _badges(rows: Sequence[Row]) -> Mapping[str, set[str]]:
    """Cots or wristbands by name and household: two of them may be two people."""
    found: dict[str, set[str]] = {}
    for row in rows:
        badge, name = key(_known(row, "badge")), _name(row)
        home = key(_known(row, "household")) or _known(row, "household")
        if badge and name:
            found.setdefault(f"{key(name) or name}|{home}", set()).add(badge)
    return found


def _name(row: Row) -> str:
    parts = (_known(row, "first_name"), _known(row, "surname"))
    full = _known(row, "resident") or " ".join(part for part in parts if part)
    return full or _known(row, "badge")


def _known(row: Row, field_key: str) -> str:
    """Text of a cell; marks such as ``n/a`` are no name that people share."""
    return "" if is_blank(row.cell(field_key)) else row.text(field_key)


def give_codes(persons: Iterable[Person], word: str) -> Mapping[str, Coded]:
    """Codes by a person's secret; ``word`` is the site's code word."""
    known = {person.secret: person for person in persons}
    codes = assign_codes(known, word)
    homes = assign_codes(
        {f"household|{p.household_key}" for p in known.values() if p.household_key},
        word,
    )
    return {
        secret: Coded(
            code=codes[secret],
            household=(
                f"HH {homes[f'household|{person.household_key}']}"
                if person.household_key
                else codes[secret]
            ),
        )
        for secret, person in known.items()
    }


def _say_alike(rows: Sequence[Row], persons: Sequence[Person], log: Log) -> None:
    """Names that differ only in word order or household, and shared cots.

    Rows are told, never names.
    """
    alike: dict[str, dict[str, Row]] = {}
    for row, person in zip(rows, persons, strict=True):
        if is_code(person.resident):
            continue
        if person.resident and not oddity(person.resident):
            bag = " ".join(sorted(key(person.resident).split()))
            alike.setdefault(bag, {}).setdefault(person.secret, row)
        badge = key(_known(row, "badge"))
        if badge:
            alike.setdefault(f"badge {badge}", {}).setdefault(person.secret, row)
    for found in alike.values():
        if len(found) > 1:
            first, *_ = found.values()
            listed = ", ".join(_where(row, first) for row in found.values())
            log.add("maybe-same-person", sheet=first.table.sheet, row=first.raw.number,
                    used=listed)  # fmt: skip


def _where(row: Row, first: Row) -> str:
    """Row number, with its sheet when that is another one."""
    number = str(row.raw.number)
    return (
        number
        if row.table.sheet == first.table.sheet
        else f"{number} of {row.table.sheet}"
    )
