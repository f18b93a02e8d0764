"""Tables that somebody else made: what each column and each row is, by evidence."""
