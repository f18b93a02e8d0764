"""Intake: any table, typed notes, paces, a laser, the middle of a pile -> balls with their measuring error."""
