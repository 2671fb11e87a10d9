"""Whether what was entered in a visit can be of this pump, judged before anything is computed."""

from __future__ import annotations

from wetend.advice.rebuild.plausible import check_stack
from wetend.advice.strip.bag import check_bag
from wetend.errors import BadInput, NoAnswer
from wetend.materials.cups import find_cup
from wetend.materials.solvents import find_solvent
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import SolventTest, StackMeasured
from wetend.pump.readings import ToolBag
from wetend.units.noun import Noun


def check_fits(pump: Pump, noun: Noun) -> None:
    """See that an entry can be of this pump.

    Raises:
        BadInput: it can't: a part, tool or cup not known, a size that can't be.
    """
    if isinstance(noun, StackMeasured):
        try:
            check_stack(pump, noun)
        except NoAnswer as why:
            raise BadInput(str(why)) from why
    elif isinstance(noun, ToolBag):
        check_bag(pump, noun)
    elif isinstance(noun, Coating):
        if noun.cup is not None:
            find_cup(noun.cup)
        if noun.solvent is not None:
            find_solvent(noun.solvent)
    elif isinstance(noun, SolventTest):
        find_solvent(noun.solvent)
