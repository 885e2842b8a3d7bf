"""Spans of plugs joined, and each given a socket number."""

from planner.result import Hookup, Link, PortType

Span = tuple[Link, str, str, PortType, str, int, int]
"""Link, feeder, taker, socket, place, first hour, end hour."""


def merge(spans: list[Span]) -> list[Span]:
    """Join spans of one plug that follow each other; drop those of no hours."""
    merged: list[Span] = []
    there = [s for s in spans if s[5] < s[6]]
    for span in sorted(there, key=lambda s: (s[0], s[1], s[2], s[3], s[5])):
        if merged and merged[-1][:5] == span[:5] and merged[-1][6] == span[5]:
            merged[-1] = (*merged[-1][:6], span[6])
        else:
            merged.append(span)
    return merged


def number_sockets(spans: list[Span]) -> tuple[Hookup, ...]:
    """Give every plug the lowest socket number free for its whole span."""
    busy: dict[tuple[str, PortType], list[tuple[int, int, int]]] = {}
    found = []
    for link, feeder, taker, port, place, first, end in sorted(
        spans, key=lambda s: (s[5], s[0], s[1], s[2])
    ):
        owner = (
            taker if link in {Link.PANEL_TO_BATTERY, Link.SOURCE_TO_BATTERY} else feeder
        )
        used = busy.setdefault((owner, port), [])
        number = 1
        while any(n == number and a < end and first < z for n, a, z in used):
            number += 1
        used.append((number, first, end))
        found.append(
            Hookup(
                link=link,
                from_id=feeder,
                to_id=taker,
                port=port,
                port_number=number,
                place=place,
                from_h=first,
                to_h=end,
            )
        )
    return tuple(found)
