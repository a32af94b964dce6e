"""What is WRITTEN: TOML text to strict, frozen models, and where in the file each value stands."""
