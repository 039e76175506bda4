"""Decisions, each with its interval, its reason and its caution."""
