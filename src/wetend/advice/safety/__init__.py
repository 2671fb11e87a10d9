"""Zero pressure and the hazards of the work: who proved zero, what ends it, each act's caution.

No order of opening (that is :mod:`wetend.advice.strip`) and no wording of a single stage.
"""
