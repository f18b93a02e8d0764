"""Phones on the local network: a certificate of our own, pairing by a one-time code, who is let in."""
