"""The roster, a player, and what a player reads in."""
