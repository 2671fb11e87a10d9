"""Functions compiled to machine code once, kept on disk, and loaded without holding anybody up.

A function says with which types it can be compiled (:mod:`.kinds`) and stays the plain Python
function it is. :mod:`.compiling` makes the compiled one, :mod:`.folder` keeps it from one run to
the next, as object code too (:mod:`.object_code`), :mod:`.loading` loads it in the background.
What is compiled is not in here: a module lists it as ``NATIVE``.
"""
