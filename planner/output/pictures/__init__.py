"""Pictures of the plan as SVG text, each with the same in words beside it."""

from typing import TYPE_CHECKING, Any

from planner.output.pictures.hookup import hookup_pictures
from planner.output.pictures.loans import loans_picture
from planner.output.pictures.specs import spec_pictures
from planner.output.pictures.units import Picture, unit_pictures

if TYPE_CHECKING:
    from planner.output.pictures.timeline import events_table, timeline_picture

__all__ = [
    "Picture",
    "events_table",
    "hookup_pictures",
    "loans_picture",
    "spec_pictures",
    "timeline_picture",
    "unit_pictures",
]


def __getattr__(name: str) -> Any:
    """Load the course of the days when it is asked for: it takes long to load."""
    if name in {"events_table", "timeline_picture"}:
        from planner.output.pictures import timeline

        return getattr(timeline, name)
    msg = f"module {__name__!r} has no attribute {name!r}"
    raise AttributeError(msg)
