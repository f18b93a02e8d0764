"""Who may do what: the request guard, authorization, signing in, and what an address names."""
