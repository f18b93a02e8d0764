"""Flight: air, aerodynamics, trajectory, bounce and run, and carrying a chart to another day. Pure."""
