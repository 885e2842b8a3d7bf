"""The plan on paper: sheets for doors, bags, plugs and people.

Black and white, twelve points and more, codes and never names.  Everything
here takes a plan and the words of one language; times are passed in.
"""

from planner.output.paper.handcopy import hand_copy
from planner.output.paper.notice import Move
from planner.output.paper.pack import paper_pdf
from planner.output.paper.page import PaperSize

__all__ = ["Move", "PaperSize", "hand_copy", "paper_pdf"]
