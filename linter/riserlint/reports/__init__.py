"""Renderings of one review."""
