"""Quotes that are calculated and answered; nothing is stored."""
