"""Rebuild of the seal stack and the wet end: shims, lift, squeeze, torque, steps.

Not simply the strip turned round: what is fitted new, how tight, and checked how.
"""
