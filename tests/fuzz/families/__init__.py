"""Kinds of hostile input, a module each; see the package above."""
