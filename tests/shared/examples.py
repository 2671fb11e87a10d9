"""How many examples a costly property test draws."""

from __future__ import annotations

from hypothesis import settings


def costly(count: int, *, explored: int = 0) -> settings:
    """So many at every run; ``explored``, or ten times as many, ever anew, by ``make explore``."""
    exploring = settings.get_current_profile_name() == "explore"
    return settings(max_examples=(explored or 10 * count) if exploring else count, deadline=None)
