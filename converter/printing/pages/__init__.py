"""The page templates (Typst): one file a document, and what they share in ``common.typ``."""
