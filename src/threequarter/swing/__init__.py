"""Swing check: a face-on clip -> body -> swings -> measures. Arrays are pure; video and models stay at the edge."""
