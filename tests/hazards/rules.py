"""Which hazard an instruction brings, by its words alone, and the words that have to warn of it.

A plain table, written apart from the program's own: common practice of the trade, no source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

RUNNING = frozenset({"check", "proof"})
SPANNERS = frozenset({"strip", "rebuild"})
ALL = frozenset({"check", "proof", "strip", "rebuild", "cause", "care"})


@dataclass(frozen=True)
class Rule:
    """An act told by its words, in some kinds of instruction, and what a caution has to say."""

    hazard: str
    when: str
    says: str
    kinds: frozenset[str] = ALL
    unless: str = r"\A\Z"

    def holds(self, text: str, kind: str) -> bool:
        """Whether this instruction brings the hazard."""
        told = re.search(self.when, text) and not re.search(self.unless, text)
        return kind in self.kinds and bool(told)

    def warned(self, caution: str) -> bool:
        """Whether a caution warns of it."""
        return re.search(self.says, caution) is not None


RULES = (
    Rule("spraying", r"\b[Ss]pray(ing)? (steadily|on )|gun at the work",
         r"(on|at) the work or a test", RUNNING),
    Rule("a jet while a leak is looked for", r"[Ll]ook(s)? along hose|then along hose|cover over",
         r"never (feel|slide a hand)"),
    Rule("what is caught", r"[Nn]ozzle out, low|[Gg]un (held )?(in)?to (the wall|a bonded)",
         r"nozzle out|with force|bonded metal pail"),
    Rule("the dump hose", r"open the dump valve", r"pail before the|tied into a bonded", RUNNING),
    Rule("solvent that burns", r"\bpour .*solvent|[Ss]olvent on the|thinned", r"burns|spark"),
    Rule("pressure held back", r"[Tt]ake the pressure off|[Pp]ressure off and zero|open the outlet",
         r"\bzero\b", RUNNING | {"care"}),
    Rule("a rod that moves", r"\b[Ss]tall (it|on)|pump stall|the rod\b|the wet cup",
         r"hands (and rule )?clear|don't reach in|no finger", RUNNING,
         unless=r"nothing can move the rod"),
    Rule("a drive that is loud", r"^(?!.*\boff\b).*(while the pump runs|[Ss]pray (steadily|on))",
         r"ear protection", frozenset({"check"})),
    Rule("a drive that is hot", r"at the drive while", r"hot after running", RUNNING),
    Rule("a phone near vapour", r"\b[Tt]ap at each turn|or film it|a film tells|tap a dozen",
         r"no phone", RUNNING),
    Rule("what runs back", r"suction's end clear|suction into", r"spurt", frozenset({"check"})),
    Rule("a blow", r"\b[Hh]ammer|[Dd]rift through|\(brass\) drift|Slogging", r"[Ee]ye protection",
         SPANNERS),
    Rule("a levered spanner", r"(?i)\b(crack|tighten)\b.*(spanner|wrench|breaker|sockets)",
         r"slips", SPANNERS, unless=r"drift in place"),
    Rule("a tube where it slips", r"\bCrack .*(Adjustable|Strap|[Pp]ipe|Chain) ", r"no tube",
         SPANNERS),
    Rule("a rod pushed by hand", r"[Pp]ush (or tap its|the rod)|push with timber",
         r"timber only", SPANNERS),
    Rule("a rod at its coupling",
         r"split coupling|drive rod|[Cc]ouple the rod|[Oo]pen the coupling",
         r"hands clear of its ends|between the rods", SPANNERS),
    Rule("its weight", r"lower (the wet end|it)\b|([Ll]ift|[Hh]ang) the wet end", r"weighs",
         SPANNERS),
    Rule("what springs out", r"[Tt]ake out the circlip", r"springs out", SPANNERS),
    Rule("rags", r"^Clean, lay out", r"metal bin", SPANNERS),
    Rule("shims under the cage", r"[Ss]hims lie on top", r"on top of the cage", SPANNERS),
    Rule("first pressure", r"before any pressure", r"lowest pressure", SPANNERS),
)  # fmt: skip

SAID_ONCE = {
    "spraying": r"the work or a test sheet",
    "phone": r"use no phone",
    "noise": r"ear protection",
    "isocyanate": r"contains isocyanate",
    "hardener": r"its hardener burns",
    "lead": r"(contains|holds) lead",
    "pot life": r"Two-pack: it sets|[Ff]lush by|flush first|pot life not known",
    "confined space": r"Confined space",
    "chlorinated": r"is chlorinated",
    "rags": r"metal bin with a lid",
    "weight": r"The wet end weighs",
    "lever": r"levered spanner slips",
    "blow": r"Eye protection when striking",
    "catching": r"Catch only with the nozzle out",
    "fire": r"(vapour|[Ss]olvent) burns",
    "rod": r"hands (and rule )?clear",
    "pinch": r"timber only",
}
"""Words that only one caution on a screen may say."""

COATED = {
    "isocyanate": r"contains isocyanate",
    "two_pack": r"hardener burns",
    "holds_lead": r"contains lead",
}
"""What a coating says of itself, and what has to warn of it wherever it is touched or sprayed."""


def lacking(text: str, kind: str, cautions: tuple[str, ...]) -> list[str]:
    """Hazards that an instruction brings and that no caution before it warns of."""
    return [
        rule.hazard
        for rule in RULES
        if rule.holds(text, kind) and not any(rule.warned(c) for c in cautions)
    ]
