"""Engineering as pure functions on numbers: no I/O, no models, units in every name.

Each function's docstring is its calculation sheet: what it computes and after whom, the formula,
inputs and outputs with units, the range in which it holds, and what it raises. Numbers that come
from a standard are taken from :mod:`riserlint.standards`, never typed again.
"""
