"""Sentences of other rooms in another language, and numbers as they are wanted."""

import re
from datetime import datetime
from string import Formatter

import pytest

from planner.catalogue import item_kinds
from planner.intake.issue_harm import Harm
from planner.intake.issue_kinds import ISSUE_KINDS
from planner.issue import Issue, Severity
from planner.output.ask_whom import ASK
from planner.output.cautions import CAUTIONS, Topic
from planner.output.manner import PLAIN, Manner
from planner.output.wording import Language, rows, wording
from planner.output.wording.phrasebook import pattern, phrasebook
from planner.output.words import Clock, Units
from planner.result import Link, PlanStatus, PortType, ReasonFamily
from planner.result_moves import CarryKind
from planner.result_replan import Fits
from planner.result_stress import Hardship
from planner.scenario import (
    CameFrom,
    Consequence,
    Flag,
    Gate,
    SourceKind,
    Status,
    StockClass,
    SunCase,
    UnitType,
)
from planner.scenario import Clock as LabelClock

SPANISH = Manner(language=Language.ES)
US = Manner(units=Units.US, clock=Clock.H12)
BOTH = Manner(language=Language.ES, units=Units.US, clock=Clock.H12)
START = datetime(2025, 10, 13, 8, 0)  # a Monday


def fields(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name is not None}


@pytest.mark.parametrize("table", ["told.csv", "catalogue.csv"])
def test_every_sentence_has_a_translation_with_the_same_fields(table: str) -> None:
    found = rows(table)
    assert len({row["en"] for row in found}) == len(found)
    for row in found:
        assert set(row) == set(Language)
        assert row["en"].strip() == row["en"]
        assert row["es"].strip()
        assert fields(row["en"]) == fields(row["es"]), row["en"]


def test_every_issue_has_a_translation_with_the_same_fields() -> None:
    found = {row["code"]: row for row in rows("issues.csv")}
    assert set(found) == set(ISSUE_KINDS)
    for code, kind in ISSUE_KINDS.items():
        assert fields(found[code]["message_es"]) == fields(kind.message), code
        assert fields(found[code]["remedy_es"]) == fields(kind.remedy), code


def test_spanish_speaks_to_people_with_usted() -> None:
    said = " ".join(
        text
        for table in (
            "screens.csv",
            "views.csv",
            "told.csv",
            "catalogue.csv",
            "issues.csv",
        )
        for row in rows(table)
        for name, text in row.items()
        if name.endswith("es")
    ).casefold()
    assert not re.search(r"\b(tú|tu|tus|contigo|tienes|puedes|vosotros)\b", said)


ENUMS = (
    CameFrom, CarryKind, Consequence, Fits, Flag, Gate, Hardship, LabelClock, Link,
    PortType, ReasonFamily, SourceKind, Status, StockClass, SunCase, Topic, UnitType,
)  # fmt: skip


@pytest.mark.parametrize("kind", ENUMS, ids=lambda kind: kind.__name__)
def test_every_word_of_a_plan_is_in_the_phrasebook(kind) -> None:
    known = phrasebook(Language.ES).exact
    assert [one.value for one in kind if one.value not in known] == []


def test_how_good_a_plan_is_has_words() -> None:
    for status in PlanStatus:
        assert SPANISH.say(f"tell.answers.{status.name.lower()}")


def test_every_word_of_the_catalogue_is_told() -> None:
    book = phrasebook(Language.ES)
    texts = {
        text
        for kind in item_kinds()
        for text in (kind.name, kind.group, kind.pack, kind.freeze_note, kind.note)
        if text
    }
    patterns = [one for one in book.patterns if one.weight]
    left = [
        text
        for text in sorted(texts)
        if text not in book.exact
        and not any(one.english.fullmatch(text) for one in patterns)
    ]
    # Generic names that Spanish spells the same way.
    assert [
        one for one in left if not re.fullmatch(r"[A-Z][a-z]+(mab|cept)", one)
    ] == []


def test_numbers_of_the_catalogue_survive() -> None:
    for row in (*rows("catalogue.csv"), *rows("cautions.csv")):
        numbers = re.findall(r"\d+(?:\.\d+)?", row["en"])
        assert sorted(re.findall(r"\d+(?:\.\d+)?", row["es"])) == sorted(numbers), row


def test_every_caution_is_translated() -> None:
    words = wording(Language.ES)
    for english in (*(one.text for one in CAUTIONS), *ASK.values()):
        assert words.caution(english) != english, english


def test_every_harm_of_an_open_question_is_told() -> None:
    for harm in Harm:
        assert SPANISH.told(harm.words) != harm.words


@pytest.mark.parametrize(
    ("english", "spanish"),
    [
        ("no unit here holds this item's band",
         "ninguna unidad de aquí mantiene la temperatura de este artículo"),
        ("3.0 L of bags find no room in their band",
         "3 L / 3.2 qt de bolsas no encuentran espacio a su temperatura"),
        ("ask for a freezer place elsewhere; it must not thaw",
         "pida lugar en un congelador en otro sitio; no debe descongelarse"),
        (("ask a pharmacist how long it may stay out; no allowance is known; ask for "
          "ice every day"),
         ("pregunte a un farmacéutico cuánto puede estar fuera; no se sabe el tiempo "
          "permitido; pida hielo todos los días")),
        (("tier A: life-critical and 48 h allowance left (label allowance), shorter "
          "than the window; Blue fridge at 4 C holds its band"),
         ("nivel A: vital y quedan 48 h permitidas (tiempo que da la etiqueta), menos "
          "que el periodo; Blue fridge a 4 C / 39 F mantiene su temperatura")),
        ("2 in the cold, 1 short", "2 en frío, 1 falta"),
        ("Blue fridge goes dark Tue 04:20 without any sun",
         "Blue fridge se queda sin energía mar 04:20 sin sol"),
        ("Changed: Lent fridge: can borrow is now here",
         "Cambiado: Lent fridge: era prestable, ahora está aquí"),
        ("Answer, Intake, row 4, column Item: Right as it is",
         "Respuesta, Intake, fila 4, columna Item: Está bien así"),
        ("List brought in: no.xlsx", "Lista traída: no.xlsx"),
        ("a sentence that nobody knows", "a sentence that nobody knows"),
        ("", ""),
    ],
)  # fmt: skip
def test_sentences_are_told_part_by_part(english: str, spanish: str) -> None:
    assert SPANISH.told(english) == spanish
    # English stays as it was written, but for the US amount beside a lone one.
    beside = english.replace("3.0 L", "3 L / 3.2 qt").replace("4 C", "4 C / 39 F")
    assert PLAIN.told(english) == beside


def test_what_the_user_typed_is_never_told() -> None:
    issue = Issue(
        code="item-guessed", severity=Severity.REVIEW, sheet="Intake", row=4,
        column="Item", value="ice", remedy=ISSUE_KINDS["item-guessed"].remedy,
        message="'ice' was read as Insulin glargine U-100, by likeness.",
    )  # fmt: skip
    message, remedy = SPANISH.issue(issue)
    assert message == "'ice' se leyó como Insulina glargina U-100, por parecido."
    assert remedy.startswith("Revise la etiqueta")
    assert SPANISH.where(issue) == "Intake, fila 4, columna Item"
    assert PLAIN.issue(issue) == (issue.message, issue.remedy)
    assert PLAIN.where(issue) == issue.where


def test_a_pattern_keeps_signs_that_mean_something_elsewhere() -> None:
    one = pattern("'{value}' (a+b)?", "«{value}» (a+b)?")
    assert one.english.fullmatch("'x.*' (a+b)?")
    assert not one.english.fullmatch("'x' ab")


@pytest.mark.parametrize(
    ("moment", "near", "dated"),
    [
        (datetime(2025, 10, 14, 4, 20), "Tue 4:20 am", "Tue 14 Oct 2025 4:20 am"),
        (datetime(2025, 10, 14, 16, 5), "Tue 4:05 pm", "Tue 14 Oct 2025 4:05 pm"),
        (datetime(2025, 10, 14, 0, 30), "Tue 12:30 am", "Tue 14 Oct 2025 12:30 am"),
        (datetime(2025, 10, 14, 12, 30), "Tue 12:30 pm", "Tue 14 Oct 2025 12:30 pm"),
        # NIST, "Times of day FAQs": say noon and midnight, and of which days.
        (datetime(2025, 10, 14, 12, 0), "Tue noon", "Tue 14 Oct 2025 noon"),
        (datetime(2025, 10, 14, 0, 0), "midnight Mon/Tue",
         "midnight Mon/Tue 14 Oct 2025"),
    ],
)  # fmt: skip
def test_the_twelve_hour_clock_is_never_in_doubt(moment, near, dated) -> None:
    assert US.day_clock(moment, START) == near
    assert US.told(near) == near
    assert BOTH.told(BOTH.day_clock(moment)) == BOTH.day_clock(moment)
    assert US.day_clock(moment) == dated
    assert US.told(f"ready {PLAIN.day_clock(moment, START)}") == f"ready {near}"


def test_a_pair_below_zero_on_both_scales_is_whole_in_spanish() -> None:
    # -25 C are -13 F; -18 C are -0.4 F.
    told = SPANISH.told("must hold minus 25 C / minus 13 F")
    assert told == "debe mantener menos 25 C / menos 13 F"
    told = SPANISH.told("must hold minus 18 C / 0 F")
    assert told == "debe mantener menos 18 C / 0 F"


def test_hours_without_a_day() -> None:
    assert [US.hour_clock(hour) for hour in (0, 6.5, 12, 13, 24)] == [
        "midnight", "6:30 am", "noon", "1:00 pm", "midnight",
    ]  # fmt: skip
    assert [PLAIN.hour_clock(hour) for hour in (0, 6.5, 24)] == [
        "00:00", "06:30", "24:00",
    ]  # fmt: skip


def test_spanish_days_and_halves_of_the_day() -> None:
    moment = datetime(2025, 10, 15, 16, 5)
    assert SPANISH.day_clock(moment, START) == "mié 16:05"
    assert BOTH.day_clock(moment, START) == "mié 4:05 pm"
    assert BOTH.day_clock(moment) == "mié 15 oct 2025 4:05 pm"
    assert BOTH.day_clock(datetime(2025, 10, 15), START) == "medianoche mar/mié"


def test_us_units_stand_first_and_metric_stays_beside_them() -> None:
    # 12.5 L = 12.5 * 1.0566882 qt (NIST Handbook 44); 5 C = 41 F; -18 C = -0.4 F.
    assert PLAIN.volume(12.5) == "12.5 L / 13.2 qt"
    assert US.volume(12.5) == "13.2 qt (12.5 L)"
    assert US.temperature(5) == "41 F (5 C)"
    assert US.band(2, 8) == "36 to 46 F (2 to 8 C)"
    assert BOTH.band(2, 8) == "36 a 46 F (2 a 8 C)"
    assert US.at_most(30) == "86 F (30 C)"
    assert SPANISH.temperature(-18) == "menos 18 C / 0 F"
    # 10 kg / 0.45359237 kg = 22.05 lb (NIST Handbook 44, appendix C).
    assert (PLAIN.ice(10), US.ice(10)) == ("10 kg / 22 lb", "22 lb (10 kg)")


METRIC_FIRST = {
    # The same amounts by the same sources as below, the metric one in front.
    "melt 11 kg of ice a day": "melt 11 kg / 24.3 lb of ice a day",
    "3.0 L of bags would fit": "3 L / 3.2 qt of bags would fit",
    "use 11 of 12 kg of ice": "use 11 of 12 kg / 24.3 of 26.5 lb of ice",
    "0.5 L": "0.5 L / 0.53 qt",
    "-25 to -15 C": "minus 25 to minus 15 C / minus 13 to 5 F",
    "4 C": "4 C / 39 F",
}
"""What gets its US amount when metric ones stand first."""


@pytest.mark.parametrize(
    ("text", "turned"),
    [
        ("set to 5 C / 41 F now", "set to 41 F (5 C) now"),
        ("2.0 C / 35.6 F to 8.0 C / 46.4 F", "35.6 F (2.0 C) to 46.4 F (8.0 C)"),
        ("12.50 L / 13.21 qt in zone 1", "13.21 qt (12.50 L) in zone 1"),
        ("minus 18 C / 0 F", "0 F (minus 18 C)"),
        # 11 kg / 0.45359237 = 24.25 lb; 12 kg = 26.46 lb (NIST Handbook 44).
        ("melt 11 kg of ice a day", "melt 24.3 lb (11 kg) of ice a day"),
        ("3.0 L of bags would fit", "3.2 qt (3 L) of bags would fit"),
        ("use 11 of 12 kg of ice", "use 24.3 of 26.5 lb (11 of 12 kg) of ice"),
        ("a unit of 44 L (46 qt) or more", "a unit of 46 qt (44 L) or more"),
        ("Tue 04:20 to Wed 16:00", "Tue 4:20 am to Wed 4:00 pm"),
        ("Tue 10:00, 11:30, Tue 22:15", "Tue 10:00 am, 11:30 am, Tue 10:15 pm"),
        # 0.5 L = 0.53 qt; -25 to -15 C = -13 to 5 F.
        ("0.5 L", "0.53 qt (0.5 L)"),
        ("-25 to -15 C", "minus 13 to 5 F (minus 25 to minus 15 C)"),
        ("4 C", "39 F (4 C)"),
        ("a code 12:34:56 and 3/4 of 5", "a code 12:34:56 and 3/4 of 5"),
    ],
)
def test_sentences_of_other_rooms_are_turned_to_the_units(text, turned) -> None:
    assert US.told(text) == turned
    assert US.told(turned) == turned
    beside = METRIC_FIRST.get(text, text)
    assert PLAIN.told(text) == beside
    assert PLAIN.told(beside) == beside
