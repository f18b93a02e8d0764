"""Choice: which shot for a number, which wedges for a bag. Pure."""
