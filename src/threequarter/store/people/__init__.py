"""People: players, their bags and notes, and the consent to be filmed."""
