"""Sizing of 12 V lead-acid starter batteries: ratings for an engine in a climate, with reasons."""

__version__ = "0.1.0"
