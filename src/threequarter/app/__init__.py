"""What the product does (keep a table, chart a session, print a clinic, analyse a clip, make a report), called by pages, commands
and workers alike. It knows the rooms below and nothing of a request, a terminal or a queue."""
