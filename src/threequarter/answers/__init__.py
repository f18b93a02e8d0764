"""What is computed as plain JSON for programs, words in the language in use and distances in the unit asked for."""
