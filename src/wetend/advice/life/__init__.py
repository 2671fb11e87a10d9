"""How long parts last: exposure, remaining life, replacement age, the next repack."""
