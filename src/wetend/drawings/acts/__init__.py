"""The picture of an act: the pump as it stands then, the part that moves, and how it moves."""
