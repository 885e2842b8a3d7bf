"""Pictures of the plan as SVG text, each with the same in words beside it."""

from planner.output.pictures.hookup import hookup_pictures
from planner.output.pictures.loans import loans_picture
from planner.output.pictures.timeline import events_table, timeline_picture
from planner.output.pictures.units import Picture, unit_pictures

__all__ = [
    "Picture",
    "events_table",
    "hookup_pictures",
    "loans_picture",
    "timeline_picture",
    "unit_pictures",
]
