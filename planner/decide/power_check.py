"""The energy cuts of one instance, found and kept."""

from planner.decide.consumer_ways import AllWays
from planner.decide.cuts import EnergyCut, mode_key
from planner.decide.instance import Instance, Mode
from planner.decide.shares import Shares


class PowerCheck(AllWays):
    """Finds and keeps the energy cuts of one instance."""

    def __init__(self, instance: Instance) -> None:
        super().__init__(instance)
        self.cuts: list[EnergyCut] = []

    def new_cut(
        self, modes: tuple[Mode, ...], taken: frozenset[str]
    ) -> EnergyCut | None:
        """A cut that these modes break; ``None`` when shares can carry them."""
        fed = [(ways, 0) for ways in self.loads]
        fed += [
            (self.units[m.unit], self.way_of[mode_key(m)])
            for m in modes
            if m.unit in self.units
        ]
        if not fed:
            return None
        cut = Shares(self, fed, taken).cut()
        if cut is not None:
            self.cuts.append(cut)
        return cut
