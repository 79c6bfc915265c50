"""Signing in with a key that a phone or computer keeps behind finger, face or PIN; only its public half is here."""
