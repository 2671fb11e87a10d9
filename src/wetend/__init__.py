"""wetend: keep high-pressure piston spray pumps working, from complaint to hand-over."""

__version__ = "0.8.1"
