"""Finished blocks, kept for runs to come: found by what they were made from, and checked when they are taken out."""

from converter.store.blocks import MOST_BYTES, BlockStore, store_folder
from converter.store.engine import engine_version

__all__ = ["MOST_BYTES", "BlockStore", "engine_version", "store_folder"]
