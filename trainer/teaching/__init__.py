"""Attempts in, decisions out, no database: lessons, rules, summaries, groups, alphabets."""
