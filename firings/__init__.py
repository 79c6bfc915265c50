"""Kilns, programmes, firings, and what heat work the ware really saw."""
