"""Checks: lists as recorded when their stage opens, answers, hold points."""
