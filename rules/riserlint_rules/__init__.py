"""The built-in rules of riserlint: each module is one rule, found through the same door as any other plugin."""
