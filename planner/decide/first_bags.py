"""How many households have a first bag, from bags that are placed."""

from collections.abc import Mapping

from planner.decide.instance import Instance
from planner.decide.linear import LinearProgram
from planner.errors import SolverError


def served(
    instance: Instance, bags: Mapping[int, int], rather: Mapping[int, int]
) -> tuple[tuple[int, int], ...]:
    """Households of each family served from all bags, and of those from some.

    ``bags`` are all that are placed, by good, ``rather`` those of them that are
    taken first where there is a choice.  As many households are served as can be.

    Raises
    ------
    SolverError
        The solver gave no answer.
    """
    lp = LinearProgram()
    most = sum(family.households for family in instance.families)
    # Never worth a household less.
    prefers = 0.5 / (1.0 + most)
    given: dict[tuple[int, bool], list[int]] = {}
    shares: list[list[tuple[int, bool]]] = []
    for family in instance.families:
        mine: list[tuple[int, bool]] = []
        for g in family.goods:
            first = rather.get(g, 0)
            for some, there in ((True, first), (False, bags.get(g, 0) - first)):
                if there > 0:
                    column = lp.column(-1.0 - prefers * some)
                    given.setdefault((g, some), []).append(column)
                    mine.append((column, some))
        if mine:
            lp.row([(column, 1.0) for column, _ in mine], family.households)
        shares.append(mine)
    for (g, some), columns in given.items():
        room = rather.get(g, 0) if some else bags.get(g, 0) - rather.get(g, 0)
        lp.row([(column, 1.0) for column in columns], room)
    if given and lp.prices() is None:
        raise SolverError("no first bags: the solver gave no answer")
    return tuple(
        (
            round(sum(lp.shares[c] for c, _ in mine)),
            round(sum(lp.shares[c] for c, some in mine if some)),
        )
        for mine in shares
    )
