"""Cautions for lay volunteers, by topic, each with its source and trust.

This module is the source of truth; ``docs/cautions.md`` is made from it by
``python -m planner.output.cautions``.  The texts are our own words.  They
are general cautions, not code advice and not clinical advice.
"""

import sys
from dataclasses import dataclass
from enum import StrEnum

from planner.output.manner import PLAIN, Manner
from planner.scenario import Flag


class Topic(StrEnum):
    """What a caution is about, in the order they are shown."""

    MEDICINES = "medicines"
    FEEDS = "food and feeds"
    FREEZING = "ice and freezing"
    BATTERY = "batteries"
    GENERATOR = "generators and fuel"
    ELECTRICAL = "wiring and solar"
    PRIVACY = "privacy"


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One caution with where it was read and how sure that is."""

    topic: Topic
    text: str
    source: str
    flag: Flag


_FDA_INSULIN = (
    "FDA, Information Regarding Insulin Storage and Switching Between Products in "
    "an Emergency"
)
_FDA_DISASTER = "FDA, Safe Drug Use After a Natural Disaster"
_CDC_VACCINE = "CDC, Vaccine Storage and Handling Toolkit"
_CDC_MILK = "CDC, Human Milk Storage Guidelines"
_CDC_FORMULA = "CDC, Infant Formula Preparation and Storage"
_SPS = "NHS Specialist Pharmacy Service, Managing temperature excursions"
_ESFI = "Electrical Safety Foundation International, Generator Safety"
_USFA = "U.S. Fire Administration, Battery Fire Safety"
_PRACTICE = "none"

_ROWS: dict[Topic, tuple[tuple[str, str, Flag], ...]] = {
    Topic.MEDICINES: (
        (
            ("This plan finds room and power. It does not decide whether a medicine is "
            "fit to use: ask a pharmacist. The label in the box beats anything here."),
            "the tool's own limit", Flag.PRACTICE,
        ),
        (
            ("Got too warm or too cold: keep it cold, mark it DO NOT USE, note time and "
            "temperature, and call the pharmacist or maker. Do not throw it away yet."),
            _SPS, Flag.PUBLISHED,
        ),
        (
            ("Insulin that got above 30 C / 86 F, and no other at hand: do not go without. "
            "It may still be needed in an emergency; call for advice and replace it first."),
            _FDA_INSULIN, Flag.PUBLISHED,
        ),
        (
            ("Time out of the cold is counted in different ways. Unless the label says "
            "otherwise, the days start at the first removal and do not start again when "
            "the item goes back in."),
            "NHS Specialist Pharmacy Service, pages of single medicines", Flag.PUBLISHED,
        ),
        (
            ("Days at room temperature count only at or below the temperature shown. "
            "A hotter room ends them."),
            _FDA_INSULIN, Flag.PUBLISHED,
        ),
        (
            ("Vaccines belong to their own programme. One that was out of range is set "
            "aside, marked and kept cold until the programme answers."),
            _CDC_VACCINE, Flag.PUBLISHED,
        ),
        (
            ("After a long outage refrigerated medicines are replaced as soon as a supply "
            "comes. One that sustains life may be needed until then: ask first."),
            _FDA_DISASTER, Flag.PUBLISHED,
        ),
        (
            "Flood water touched it: do not use it, even with a tight cap.",
            _FDA_DISASTER, Flag.PUBLISHED,
        ),
        (
            ("One person's medicine is for that person: never shared, swapped or pooled. "
            "Volunteers do not measure, mix or advise on doses."),
            _PRACTICE, Flag.PRACTICE,
        ),
        (
            ("Lines marked 'not confirmed' rest on memory or a secondary page. Check the "
            "label before relying on them."),
            "the tool's own limit", Flag.PRACTICE,
        ),
    ),
    Topic.FEEDS: (
        (
            ("Expressed milk: about 4 hours in a room up to 25 C / 77 F, 4 days at "
            "4 C / 40 F. Thawed milk: 24 hours in the cold, never frozen again."),
            _CDC_MILK, Flag.SECONDARY,
        ),
        (
            ("Milk that thawed but still holds ice crystals may be frozen again; fully "
            "thawed milk may not."),
            _CDC_MILK, Flag.SECONDARY,
        ),
        (
            ("Made-up formula: used within 2 hours, or chilled at once and used within 24. "
            "Once a feed has begun, what is left after 1 hour is thrown away."),
            _CDC_FORMULA, Flag.SECONDARY,
        ),
        (
            ("Ready-to-feed bottles need no cold until opened and are the safer choice when "
            "water is doubtful. Mix only with bottled or boiled water."),
            "CDC, Food Safety for Infants After a Disaster", Flag.PUBLISHED,
        ),
        (
            ("Two people match code and mark before a feed is handed over, and the parent "
            "looks. Wrong feed given: a clinician at once, both families told."),
            _PRACTICE, Flag.PRACTICE,
        ),
        (
            ("A shut fridge holds about 4 hours, a full shut freezer about 48 and a half "
            "full one 24. That is for food; medicines have their own limits."),
            "FDA, food and power outages", Flag.PUBLISHED,
        ),
    ),
    Topic.FREEZING: (
        (
            ("NEVER FREEZE items stay off ice, frozen packs, the freezer plate and the back "
            "wall. Frozen once means do not use, even after thawing."),
            _FDA_INSULIN, Flag.PUBLISHED,
        ),
        (
            ("Ice chest for medicines: hard-sided, frozen water bottles first conditioned "
            "until the ice inside moves freely, at least 2.5 cm / 1 in of padding above "
            "and below, and a thermometer among the packs."),
            "CDC, Packing Vaccines for Transport during Emergencies", Flag.PUBLISHED,
        ),
        (
            ("A home fridge also freezes things: in one study 17 % of fridge sensors saw "
            "less than 0 C / 32 F. Keep medicines in the middle, in their boxes."),
            "Braune et al., Diabetes Technology & Therapeutics, 2019", Flag.PUBLISHED,
        ),
        (
            ("Dry ice: not with items that must not freeze, and never in a closed room or "
            "car. It freezes what it touches and takes the place of air."),
            "none", Flag.MEMORY,
        ),
        (
            ("Write down the temperature at least twice a day, and the lowest and highest "
            "at the start of the day, then reset. Below 2 C / 36 F or above 8 C / 46 F: act."),
            _CDC_VACCINE, Flag.PUBLISHED,
        ),
        (
            ("Believe the thermometer, not the plan: hours, litres and kilograms of ice "
            "here are estimates."),
            "the tool's own limit", Flag.PRACTICE,
        ),
    ),
    Topic.BATTERY: (
        (
            ("Lithium: maker's charger, charge only from 0 C / 32 F to 40 C / 104 F, not on "
            "beds, not in the way out, not in the sun or a hot car."),
            _USFA, Flag.PUBLISHED,
        ),
        (
            ("Swollen, hot, smelling, leaking or noisy: stop using it, get people away and "
            "call the fire service."),
            _USFA, Flag.PUBLISHED,
        ),
        (
            ("Lead batteries give off gas while charging that can explode: fresh air, no "
            "flame, eyes covered, terminals covered, upright."),
            "none", Flag.MEMORY,
        ),
        (
            ("Switch off any power saving that turns a pack off when the compressor rests, "
            "and the AC side when nothing is plugged into it."),
            _PRACTICE, Flag.PRACTICE,
        ),
        (
            "Never join batteries of different kind or age.",
            _PRACTICE, Flag.PRACTICE,
        ),
    ),
    Topic.GENERATOR: (
        (
            ("Outdoors only, 6 m / 20 ft or more from doors, windows and vents, exhaust "
            "pointing away, with a carbon monoxide alarm indoors. Not in a garage."),
            _ESFI, Flag.PUBLISHED,
        ),
        (
            "Keep it dry, leave clear space around it, and let it cool before refuelling.",
            _ESFI, Flag.PUBLISHED,
        ),
        (
            ("Never feed a building through a wall socket. A transfer switch is fitted by a "
            "licensed electrician, with a permit."),
            "a public utility's page on portable generators", Flag.PUBLISHED,
        ),
        (
            ("Grills, fuel stoves, gas fridges and running cars give off carbon monoxide: "
            "none of them in closed or sleeping rooms."),
            "none", Flag.MEMORY,
        ),
    ),
    Topic.ELECTRICAL: (
        (
            ("House wiring, panels on roofs and anything fixed are for a licensed "
            "electrician under the local rules. This plan covers only things with plugs."),
            "the tool's own limit", Flag.PRACTICE,
        ),
        (
            ("A fuse close to the battery's plus pole, rated for direct current and sized "
            "to the wire, and a switch in reach. Take off rings and watches."),
            "none", Flag.MEMORY,
        ),
        (
            ("Short, thick leads on 12 V, no thin extension cords. A warm plug or lead is "
            "a fault: unplug it."),
            "none", Flag.MEMORY,
        ),
        (
            ("A fridge draws 3 to 4 times its running watts at the start: check what the "
            "inverter can give. Do not plug one inverter into another."),
            "a trade page", Flag.SECONDARY,
        ),
        (
            ("Panels in a row add up their volts: stay below the input's limit on the "
            "coldest morning. A panel is live whenever there is daylight."),
            "none", Flag.MEMORY,
        ),
        (
            ("Everything off the floor and dry, outlets with ground-fault protection near "
            "water, nothing that was flooded."),
            "none", Flag.MEMORY,
        ),
        (
            ("For the electrician to look up where NFPA 70 applies: articles 240, 250, 310, "
            "400, 445, 480, 690, 702, 705, 706 and 710."),
            "none", Flag.MEMORY,
        ),
    ),
    Topic.PRIVACY: (
        (
            "Door sheets, labels and messages carry codes only: no names, no medicines.",
            _PRACTICE, Flag.PRACTICE,
        ),
        (
            ("The name key is kept apart from the plan, by one named person, and destroyed "
            "when the site closes. Mind downloads, photos, chats and printouts."),
            _PRACTICE, Flag.PRACTICE,
        ),
        (
            ("Ask for no more than the plan needs. Who may hold health data, and for how "
            "long, is set by local law."),
            _PRACTICE, Flag.PRACTICE,
        ),
    ),
}  # fmt: skip

CAUTIONS: tuple[Caution, ...] = tuple(
    Caution(topic=topic, text=text, source=source, flag=flag)
    for topic, rows in _ROWS.items()
    for text, source, flag in rows
)


def cautions(topic: Topic | None = None) -> tuple[Caution, ...]:
    """All cautions, or those of one topic, in the order they are shown."""
    return tuple(one for one in CAUTIONS if topic is None or one.topic is topic)


def source_words(caution: Caution, how: Manner = PLAIN) -> str:
    """Source and trust of a caution in one phrase."""
    if caution.source == "none":
        return how.told(caution.flag.value)
    if caution.flag is Flag.PRACTICE:
        return how.told(caution.source)
    source = how.told(caution.source)
    return how.say("tell.source", source=source, trust=how.told(caution.flag.value))


def cautions_markdown() -> str:
    """Text of ``docs/cautions.md``."""
    parts = [
        "# Cautions",
        "",
        "Made from `planner/output/cautions.py` by `python -m planner.output.cautions`;",
        "change the wording there.",
        "They are general cautions for volunteers, not code advice and not clinical advice.",
        "What is not marked published has not been confirmed here: check before relying on it.",
        "",
    ]
    for topic in Topic:
        parts += [f"## {topic.value.capitalize()}", ""]
        parts += [f"- {one.text} *{source_words(one)}*" for one in cautions(topic)]
        parts.append("")
    return "\n".join(parts)


if __name__ == "__main__":
    sys.stdout.write(cautions_markdown())
