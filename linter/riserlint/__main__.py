"""Runs the command as ``python -m riserlint``."""

from riserlint.cli import command

command()
