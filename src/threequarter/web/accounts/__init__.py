"""Accounts on the web: what each route asks for, the one door that checks it, and the pages of people."""
