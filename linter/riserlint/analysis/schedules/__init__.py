"""Schedules: the computed tables that a reviewer asks for, as data; reports render them."""
