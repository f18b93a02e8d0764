"""Accounts, where more than one person works with the data: who they are, how they come in, what they may see."""
