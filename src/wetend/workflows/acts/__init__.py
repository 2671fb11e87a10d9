"""A visit as single acts: what is next, what is left, each saved alone.

Acts only fold what the stages know: the make-safe list, the ranked running checks, the plans of
strip and rebuild, the parts to measure, the acts of the proof. No rule of safety is made here.
"""
