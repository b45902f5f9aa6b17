"""Measurements: run by hand, raw results kept in results/ by date. None of them is a test."""
