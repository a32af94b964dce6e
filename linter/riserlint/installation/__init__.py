"""What is BUILT: the resolved graph of gear, ports, runs, bundles and supplies."""
