"""Limits, tables and constants as data, each with its citation and how it is known.

Nothing in this package imports anything else of the project. A rule, an analysis or an
engineering function that needs a number from a standard takes it from here by name.
"""
