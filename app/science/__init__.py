"""Numbers in, numbers out: the chemistry, physics and statistics behind the pages.

Every function is pure. Units stand in the names. Functions typed with ``FloatOrArray`` take
floats and give a float, or take NumPy arrays of one shape and give such an array. A value that
was not measured is NaN and stays NaN. A value outside the stated range raises ``ValueError``:
nothing here extrapolates.
"""
