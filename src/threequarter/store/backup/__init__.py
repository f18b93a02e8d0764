"""Backup: one archive of everything, its schedule and retention, encryption, verification and restore."""
