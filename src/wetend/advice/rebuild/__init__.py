"""The seal stack and the order of putting back: shims, lift, squeeze, torque, steps.

Not simply the strip turned round: what is fitted new, how tight, and checked how.
"""
